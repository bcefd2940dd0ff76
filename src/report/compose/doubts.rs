/*! Past work in doubt: the jobs since the last good check of every item that failed its last. */

use super::results::Results;
use crate::impact::{Effect, Job, JobDoubt, assess, unassessed};
use crate::records::screening::alike::NearNames;
use crate::records::{Item, LoadError};
use crate::report::run_error::RunError;
use crate::report::table::{Cells, Table};
use crate::report::table_writer::TableWriter;
use crate::settings::plan::Plan;
use rayon::prelude::*;
use std::collections::HashMap;
use std::path::Path;

/// Judgements by history, and sentences on jobs that could not be used.
#[derive(Debug, Clone, Default)]
pub struct Doubts {
    /// One list a history, in the histories' order; empty where there is no jobs table.
    pub by_history: Vec<Vec<JobDoubt>>,
    /// Jobs that name no history, or whose row cannot be read.
    pub unassessed: Vec<JobDoubt>,
    /// What is to be said of the table itself.
    pub warnings: Vec<String>,
    /// Rows read.
    pub jobs: usize,
}

/// Row accounts of the jobs, for the run record.
#[derive(Debug, Clone, Copy, serde::Serialize)]
pub struct JobCounts {
    /// Rows read.
    pub read: usize,
    /// Jobs of a known history.
    pub assessed: usize,
    /// Jobs that name no history, or whose row cannot be read.
    pub cannot_be_assessed: usize,
}

impl Doubts {
    /// Judgements of one history.
    pub fn of(&self, index: usize) -> &[JobDoubt] {
        self.by_history.get(index).map_or(&[], Vec::as_slice)
    }

    /// Row accounts; `None` where there is no job.
    pub fn counts(&self) -> Option<JobCounts> {
        (self.jobs > 0).then_some(JobCounts {
            read: self.jobs,
            assessed: self.jobs - self.unassessed.len(),
            cannot_be_assessed: self.unassessed.len(),
        })
    }
}

/// Reads the jobs and judges them; nothing where the plan has none.
///
/// # Errors
/// A jobs file that cannot be read.
pub fn doubts(plan: &Plan, results: &Results) -> Result<Doubts, LoadError> {
    let jobs = plan.jobs()?;
    if plan.settings.jobs.file.is_none() {
        return Ok(Doubts::default());
    }
    let histories = &results.loaded.histories;
    let by_history = (0..histories.len())
        .into_par_iter()
        .map(|index| assess(&histories.get(index), &results.fits.fits[index], &jobs.jobs))
        .collect();
    let mut unassessed = without_history(&jobs.jobs, &histories.items);
    let read = jobs.jobs.len() + jobs.unreadable.len();
    unassessed.extend(jobs.unreadable);
    Ok(Doubts {
        by_history,
        unassessed,
        warnings: jobs.warnings,
        jobs: read,
    })
}

/// The jobs that name no history, each with the name that it is likely to mean.
fn without_history(jobs: &[Job], items: &[Item]) -> Vec<JobDoubt> {
    let mut points: HashMap<&str, Vec<&str>> = HashMap::new();
    for item in items {
        points
            .entry(&item.instrument)
            .or_default()
            .push(&item.point);
    }
    let known = NearNames::of(items.iter().map(|item| item.instrument.as_str()));
    let reason = |job: &Job| match points.get(job.instrument.as_str()) {
        None => Some(format!(
            "no check of \"{}\" is known{}",
            job.instrument,
            known.words(&job.instrument)
        )),
        Some(points) if job.point.is_empty() || points.contains(&job.point.as_str()) => None,
        Some(points) => Some(format!(
            "\"{}\" has no check at the point \"{}\"{}",
            job.instrument,
            job.point,
            NearNames::of(points.iter().copied()).words(&job.point)
        )),
    };
    let told = |job: &Job| reason(job).map(|reason| unassessed(job.clone(), reason));
    jobs.iter().filter_map(told).collect()
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
    let judged = doubts
        .by_history
        .iter()
        .zip(items)
        .flat_map(|(list, item)| {
            let named = move |d| (item.instrument.as_str(), item.point.as_str(), d);
            list.iter().map(named)
        });
    let others = doubts.unassessed.iter();
    let others = others.map(|d| (d.job.instrument.as_str(), d.job.point.as_str(), d));
    let each: Vec<(&str, &str, &JobDoubt)> = judged.chain(others).collect();
    let text = |get: &dyn Fn(&(&str, &str, &JobDoubt)) -> String| {
        Cells::Text(each.iter().map(get).collect())
    };
    let number = |get: &dyn Fn(&JobDoubt) -> f64| {
        Cells::Number(each.iter().map(|(_, _, doubt)| get(doubt)).collect())
    };
    let table = Table::default()
        .with("job", text(&|(_, _, d)| d.job.job.clone()))
        .with(
            "instrument",
            text(&|(instrument, _, _)| instrument.to_string()),
        )
        .with("point", text(&|(_, point, _)| point.to_string()))
        .with(
            "date",
            Cells::Date(each.iter().map(|(_, _, d)| d.job.date).collect()),
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
            Cells::Word(each.iter().map(|(_, _, d)| d.effect.word()).collect()),
        )
        .with("reason", text(&|(_, _, d)| d.reason.clone()));
    let failed = |why: polars::prelude::PolarsError| RunError::write("doubts", why);
    let mut writer = TableWriter::create(folder, "doubts", &table, true).map_err(failed)?;
    writer.write(&table).map_err(failed)?;
    writer.finish().map_err(failed)
}

/// True where the job's statement changes or cannot be told to stand.
pub fn in_doubt(doubt: &JobDoubt) -> bool {
    doubt.effect != Effect::Stands
}
