/*! Past work in doubt: the jobs since the last good check before every failed one. */

use super::results::Results;
use crate::impact::{JobDoubt, LeftTolerance, Matches, assess, onward, suspect_windows};
use crate::records::LoadError;
use crate::report::run_error::RunError;
use crate::report::table::{Cells, Table};
use crate::report::table_writer::TableWriter;
use crate::settings::plan::Plan;
use rayon::prelude::*;
use std::collections::HashSet;
use std::path::Path;

/// Judgements by history, and sentences on jobs that could not be used.
#[derive(Debug, Clone, Default)]
pub struct Doubts {
    /// One list a history, in the histories' order; empty where there is no jobs table.
    pub by_history: Vec<Vec<JobDoubt>>,
    /// Jobs that name no history, or whose row cannot be read.
    pub unassessed: Vec<JobDoubt>,
    /// Jobs in doubt because of what their instrument was calibrated with.
    pub onward: Vec<JobDoubt>,
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

    /// Every judgement of a known history, and those that follow from them.
    pub fn judged(&self) -> impl Iterator<Item = &JobDoubt> {
        self.by_history.iter().flatten().chain(&self.onward)
    }

    /// Jobs in doubt, each counted once however many points it concerns.
    pub fn jobs_in_doubt(&self) -> usize {
        let doubted = self.judged().filter(|doubt| doubt.is_in_doubt());
        let rows: HashSet<usize> = doubted.map(|doubt| doubt.job.row).collect();
        rows.len()
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
    let matches = Matches::of(&jobs.jobs, &histories.items, plan.as_of);
    let rule = plan.settings.conformity.decision_rule();
    let judged = (0..histories.len()).into_par_iter().map(|index| {
        let history = histories.get(index);
        let windows = suspect_windows(&history, &results.fits.fits[index], &rule);
        assess(&windows, &history.item.unit, &matches.by_history[index])
    });
    let by_history: Vec<Vec<JobDoubt>> = judged.collect();
    let doubted = by_history.iter().flatten().filter(|d| d.is_in_doubt());
    let onward = onward(&jobs.jobs, &doubted.collect::<Vec<_>>());
    let mut unassessed = matches.unmatched;
    let read = jobs.jobs.len() + jobs.unreadable.len();
    unassessed.extend(jobs.unreadable);
    let warnings = [jobs.warnings, matches.notes, onward.loops];
    Ok(Doubts {
        by_history,
        unassessed,
        onward: onward.doubts,
        warnings: warnings.concat(),
        jobs: read,
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
    let judged = doubts
        .by_history
        .iter()
        .zip(items)
        .flat_map(|(list, item)| {
            let named = move |d| (item.instrument.as_str(), item.point.as_str(), d);
            list.iter().map(named)
        });
    let others = doubts.onward.iter().chain(&doubts.unassessed);
    let others = others.map(|d| (d.job.instrument.as_str(), d.job.point.as_str(), d));
    let each: Vec<(&str, &str, &JobDoubt)> = judged.chain(others).collect();
    let table = table(&each);
    let failed = |why: polars::prelude::PolarsError| RunError::write("doubts", why);
    let mut writer = TableWriter::create(folder, "doubts", &table, true).map_err(failed)?;
    writer.write(&table).map_err(failed)?;
    writer.finish().map_err(failed)
}

/// The table, of each job with the instrument and point that it names.
pub(super) fn table(each: &[(&str, &str, &JobDoubt)]) -> Table<'static> {
    let text = |get: &dyn Fn(&(&str, &str, &JobDoubt)) -> String| {
        Cells::Text(each.iter().map(get).collect())
    };
    let number = |get: &dyn Fn(&JobDoubt) -> f64| {
        Cells::Number(each.iter().map(|(_, _, doubt)| get(doubt)).collect())
    };
    let day = |get: &dyn Fn(LeftTolerance) -> f64| {
        let left = each
            .iter()
            .map(|(_, _, doubt)| doubt.left.map_or(f64::NAN, get));
        Cells::Date(left.collect())
    };
    Table::default()
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
.about("of the instrument that day")
        .with("error", number(&|d| d.error))
        .with("u_error", number(&|d| d.u_error))
        .with("corrected_error", number(&|d| d.corrected_error))
.about("of the job's result")
        .with("sensitivity", number(&|d| d.sensitivity))
.about("judged with: the job's own, else the worse of −1 and +1")
        .with(
            "mechanism",
            text(&|(_, _, d)| d.left.map_or("", |left| left.mechanism.word()).to_string()),
        )
.about("how the tolerance was left: step, drift, step_or_drift, unknown")
        .with("left_tolerance_from", day(&|left| left.from))
.about("95 % window of the date")
        .with("left_tolerance_to", day(&|left| left.to))
.about("95 % window of the date")
        .with(
            "effect",
            Cells::Word(each.iter().map(|(_, _, d)| d.effect.word()).collect()),
        )
.about("recall, doubtful, stands; cannot_be_assessed for a row that names no history, lies in the future or cannot be read")
        .with("reason", text(&|(_, _, d)| d.reason.clone()))
}
