/*! Past work in doubt: the jobs since the last good check of every item that failed its last. */

use super::plan::Plan;
use super::results::Results;
use super::run_error::RunError;
use crate::impact::{Effect, JobDoubt, assess};
use crate::records::LoadError;
use crate::report::table::{Cells, Table};
use crate::report::table_writer::TableWriter;
use rayon::prelude::*;
use std::path::Path;

/// Judgements by history, and sentences on jobs that could not be used.
#[derive(Debug, Clone, Default)]
pub struct Doubts {
    /// One list a history, in the histories' order; empty where there is no jobs table.
    pub by_history: Vec<Vec<JobDoubt>>,
    /// Jobs left out, in words.
    pub warnings: Vec<String>,
    /// Jobs read.
    pub jobs: usize,
}

impl Doubts {
    /// Judgements of one history.
    pub fn of(&self, index: usize) -> &[JobDoubt] {
        self.by_history.get(index).map_or(&[], Vec::as_slice)
    }
}

/// Reads the jobs and judges them; nothing where the plan has none.
///
/// # Errors
/// A jobs file that cannot be read.
pub fn doubts(plan: &Plan, results: &Results) -> Result<Doubts, LoadError> {
    let Some(file) = &plan.settings.jobs.file else {
        return Ok(Doubts::default());
    };
    let jobs = super::jobs::read(&plan.base.join(file), &plan.settings.jobs)?;
    let histories = &results.loaded.histories;
    let by_history = (0..histories.len())
        .into_par_iter()
        .map(|index| assess(&histories.get(index), &results.fits.fits[index], &jobs.jobs))
        .collect();
    Ok(Doubts {
        by_history,
        warnings: jobs.warnings,
        jobs: jobs.jobs.len(),
    })
}

/// Writes `doubts.csv` and `doubts.parquet`: one row a job that concerns a failed check.
///
/// # Errors
/// A file that cannot be written.
pub fn write(doubts: &Doubts, results: &Results, folder: &Path) -> Result<(), RunError> {
    if doubts.jobs == 0 {
        return Ok(());
    }
    let items = &results.loaded.histories.items;
    let each: Vec<_> = doubts
        .by_history
        .iter()
        .zip(items)
        .flat_map(|(list, item)| list.iter().map(move |d| (item, d)))
        .collect();
    let text = |get: &dyn Fn(&(&crate::records::Item, &JobDoubt)) -> String| {
        Cells::Text(each.iter().map(get).collect())
    };
    let number = |get: &dyn Fn(&JobDoubt) -> f64| {
        Cells::Number(each.iter().map(|(_, doubt)| get(doubt)).collect())
    };
    let table = Table::default()
        .with("job", text(&|(_, d)| d.job.job.clone()))
        .with("instrument", text(&|(item, _)| item.instrument.clone()))
        .with("point", text(&|(item, _)| item.point.clone()))
        .with(
            "date",
            Cells::Date(each.iter().map(|(_, d)| d.job.date).collect()),
        )
        .with(
            "probability_out_of_tolerance",
            number(&|d| d.probability_out),
        )
        .with("error", number(&|d| d.error))
        .with("u_error", number(&|d| d.u_error))
        .with("corrected_error", number(&|d| d.corrected_error))
        .with(
            "effect",
            Cells::Word(each.iter().map(|(_, d)| d.effect.word()).collect()),
        )
        .with("reason", text(&|(_, d)| d.reason.clone()));
    let failed = |why: polars::prelude::PolarsError| RunError::write("doubts", why);
    let mut writer = TableWriter::create(folder, "doubts", &table, true).map_err(failed)?;
    writer.write(&table).map_err(failed)?;
    writer.finish().map_err(failed)
}

/// True where the job's statement changes or cannot be told to stand.
pub fn in_doubt(doubt: &JobDoubt) -> bool {
    doubt.effect != Effect::Stands
}
