/*! Past work in doubt: the jobs since the last good check before every failed one. */

use super::cases::Cases;
use super::results::Results;
use crate::conformity::DecisionRule;
use crate::decisions::cases::{CaseStanding, Finding, Kind, findings};
use crate::files::run_error::RunError;
use crate::impact::{Job, JobDoubt, Matches, Window, assess, onward, suspect_windows};
use crate::records::{History, LoadError, Warning};
use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::report::table_writer::TableFolder;
use crate::settings::plan::Plan;
use crate::words::{count, number};
use rayon::prelude::*;
use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

/// Judgements by history, and sentences on jobs that could not be used.
#[derive(Debug, Clone, Default)]
pub(crate) struct Doubts {
    /// One list a history, in the histories' order; empty where there is no jobs table.
    pub by_history: Vec<Vec<JobDoubt>>,
    /// Jobs that name no history, or whose row cannot be read.
    pub unassessed: Vec<JobDoubt>,
    /// Jobs in doubt because of what their instrument was calibrated with.
    pub onward: Vec<JobDoubt>,
    /// When work of each history is suspect, oldest first.
    pub windows: Vec<Vec<Window>>,
    /// Jobs of each history since the last good check before a reading too near a limit to tell:
    /// day of the check, job, and its day.
    pub at_risk: Vec<Vec<(f64, String, f64)>>,
    /// What is to be said of the table itself.
    pub warnings: Vec<String>,
    /// Rows read.
    pub jobs: usize,
}

/// Row accounts of the jobs, for the run record.
#[derive(Debug, Clone, Copy, serde::Serialize)]
pub(crate) struct JobCounts {
    /// Rows read.
    pub read: usize,
    /// Jobs of a known history.
    pub assessed: usize,
    /// Jobs that name no history, or whose row cannot be read.
    pub cannot_be_assessed: usize,
    /// Sentences on the table itself, which the run's warnings hold.
    #[serde(skip)]
    pub warnings: usize,
}

impl Doubts {
    /// Judgements of one history.
    pub(crate) fn of(&self, index: usize) -> &[JobDoubt] {
        self.by_history.get(index).map_or(&[], Vec::as_slice)
    }

    /// When work of one history is suspect, oldest first.
    pub(crate) fn windows(&self, index: usize) -> &[Window] {
        self.windows.get(index).map_or(&[], Vec::as_slice)
    }

    /// Every judgement with the history that failed and the date of the finding that it follows
    /// from; `None` where no history is known.
    pub(crate) fn with_findings(&self) -> impl Iterator<Item = (&JobDoubt, Option<(usize, f64)>)> {
        let own = |(index, list): (usize, &'_ Vec<JobDoubt>)| -> Vec<(usize, usize, f64)> {
            let of_job = |doubt: &JobDoubt| (doubt.job.row, index, doubt.found);
            list.iter()
                .filter(|d| d.is_in_doubt())
                .map(of_job)
                .collect()
        };
        let by_history = self.by_history.iter().enumerate();
        let first: HashMap<usize, (usize, f64)> = match self.onward.is_empty() {
            true => HashMap::new(),
            false => by_history
                .clone()
                .flat_map(own)
                .map(|(row, index, found)| (row, (index, found)))
                .collect(),
        };
        let judged = by_history
            .flat_map(|(index, list)| list.iter().map(move |d| (d, Some((index, d.found)))));
        let onward = self.onward.iter().map(move |doubt| {
            let first = doubt.through.and_then(|row| first.get(&row).copied());
            (doubt, first)
        });
        judged
            .chain(onward)
            .chain(self.unassessed.iter().map(|doubt| (doubt, None)))
    }

    /// What became of the case that a finding of one history belongs to.
    pub(crate) fn became<'a>(
        &self,
        cases: &Cases<'a>,
        (index, found): (usize, f64),
    ) -> Option<CaseStanding<'a>> {
        let window = self.windows(index).iter().find(|w| w.found == found)?;
        cases.of_window(index, window)
    }

    /// Every judgement of a known history, and those that follow from them.
    pub(crate) fn judged(&self) -> impl Iterator<Item = &JobDoubt> {
        self.by_history.iter().flatten().chain(&self.onward)
    }

    /// Jobs in doubt, each counted once however many points it concerns.
    pub(crate) fn jobs_in_doubt(&self) -> usize {
        let doubted = self.judged().filter(|doubt| doubt.is_in_doubt());
        let rows: HashSet<usize> = doubted.map(|doubt| doubt.job.row).collect();
        rows.len()
    }

    /// Row accounts; `None` where there is no job.
    pub(crate) fn counts(&self) -> Option<JobCounts> {
        (self.jobs > 0).then_some(JobCounts {
            read: self.jobs,
            assessed: self.jobs - self.unassessed.len(),
            cannot_be_assessed: self.unassessed.len(),
            warnings: self.warnings.len(),
        })
    }

    /// How many jobs are in doubt and how many cannot be assessed, for the terminal; `None` where no job is followed.
    pub(crate) fn in_short(&self) -> Option<String> {
        let unknown = match self.unassessed.len() {
            0 => String::new(),
            unknown => format!(", and {} cannot be assessed", number(unknown)),
        };
        (self.jobs > 0).then(|| {
            format!(
                "{} of {} in doubt{unknown} (table doubts)",
                number(self.jobs_in_doubt()),
                count(self.jobs, "job"),
            )
        })
    }

    /// What is said of the table of jobs, as warnings with the table's name.
    pub(crate) fn as_warnings<'w>(&'w self, plan: &'w Plan) -> impl Iterator<Item = Warning> + 'w {
        let table = plan.settings.jobs.file.as_deref().unwrap_or("jobs");
        let words = self.warnings.iter();
        words.map(move |words| Warning::new(table, words))
    }
}

/// Reads the jobs and judges them; windows alone where the plan has none.
///
/// # Errors
/// A jobs file that cannot be read.
pub(crate) fn doubts(plan: &Plan, results: &Results) -> Result<Doubts, LoadError> {
    let jobs = plan.jobs()?;
    let histories = &results.loaded.histories;
    let matches = match jobs.jobs.is_empty() {
        true => Matches::default(),
        false => Matches::of(&jobs.jobs, &histories.items, plan.as_of),
    };
    let rule = plan.settings.conformity.decision_rule();
    let judged = (0..histories.len()).into_par_iter().map(|index| {
        let history = histories.get(index);
        let windows = suspect_windows(&history, &results.fits.fits[index], &rule);
        let own = matches.by_history.get(index).map_or(&[][..], Vec::as_slice);
        (assess(&windows, &history.item.unit, own), windows)
    });
    let (by_history, windows): (Vec<Vec<JobDoubt>>, _) = judged.unzip();
    let at_risk = (0..matches.by_history.len()).into_par_iter().map(|index| {
        let own = &matches.by_history[index];
        match own.is_empty() {
            true => Vec::new(),
            false => at_risk(&histories.get(index), &rule, own),
        }
    });
    let doubted = by_history.iter().flatten().filter(|d| d.is_in_doubt());
    let onward = onward(&jobs.jobs, &doubted.collect::<Vec<_>>());
    // What follows from other work is judged by that, whether its own item has a history or not.
    let followed: HashSet<usize> = onward.doubts.iter().map(|doubt| doubt.job.row).collect();
    let mut unassessed = matches.unmatched;
    unassessed.retain(|doubt| !followed.contains(&doubt.job.row));
    let read = jobs.jobs.len() + jobs.unreadable.len();
    unassessed.extend(jobs.unreadable);
    let warnings = [jobs.warnings, matches.notes, onward.loops];
    Ok(Doubts {
        by_history,
        unassessed,
        onward: onward.doubts,
        windows,
        at_risk: at_risk.collect(),
        warnings: warnings.concat(),
        jobs: read,
    })
}

/// The jobs of one history that hang on readings too near a limit to tell.
fn at_risk(
    history: &History<'_>,
    rule: &DecisionRule,
    own: &[Cow<'_, Job>],
) -> Vec<(f64, String, f64)> {
    let unclear = findings(history, rule).into_iter();
    let unclear = unclear.filter(|finding| finding.kind == Kind::Indeterminate);
    let of = |finding: Finding| {
        let since = move |job: &&Cow<'_, Job>| {
            job.date <= finding.day
                && (finding.good_since.is_nan() || job.date >= finding.good_since)
        };
        let job_of = move |job: &Cow<'_, Job>| (finding.day, job.job.clone(), job.date);
        own.iter().filter(since).map(job_of)
    };
    unclear.flat_map(of).collect()
}

/// Writes `doubts.csv` and `doubts.parquet`: one row a job that concerns a failed check.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn write(
    doubts: &Doubts,
    results: &Results,
    cases: &Cases<'_>,
    to: TableFolder<'_>,
) -> Result<(), RunError> {
    if doubts.jobs == 0 {
        return Ok(());
    }
    let items = &results.loaded.histories.items;
    let row = |(doubt, finding): (&'_ JobDoubt, Option<(usize, f64)>)| {
        let own = finding.filter(|_| doubt.through.is_none());
        let (instrument, point) = match own {
            Some((index, _)) => (&items[index].instrument, &items[index].point),
            None => (&doubt.job.instrument, &doubt.job.point),
        };
        let became = finding.and_then(|finding| doubts.became(cases, finding));
        Row {
            instrument: instrument.clone(),
            point: point.clone(),
            doubt: doubt.clone(),
            finding: finding.map_or(f64::NAN, |(_, found)| found),
            case: became.map_or("", CaseStanding::word),
        }
    };
    let each: Vec<Row> = doubts.with_findings().map(row).collect();
    to.write("doubts", &table(&each))
}

/// One row of the table.
pub(super) struct Row {
    instrument: String,
    point: String,
    doubt: JobDoubt,
    /// Date of the finding that it follows from; NaN where there is none.
    finding: f64,
    /// What became of its case; empty where there is none.
    case: &'static str,
}

/// The table, of each job with the instrument and point that it names.
pub(super) fn table(each: &[Row]) -> Table<'_> {
    let left = |row: &Row| row.doubt.left;
    RowTable::of(each)
        .text("job", |row| &row.doubt.job.job)
        .text("instrument", |row| &row.instrument)
        .text("point", |row| &row.point)
        .date("date", |row| row.doubt.job.date)
        .number("probability_out_of_tolerance", |row| row.doubt.probability_out)
        .about("of the instrument that day")
        .number("error", |row| row.doubt.error)
        .number("u_error", |row| row.doubt.u_error)
        .number("corrected_error", |row| row.doubt.corrected_error)
        .about("of the job's result")
        .number("sensitivity", |row| row.doubt.sensitivity)
        .about("judged with: the job's own, else the worse of −1 and +1")
        .word("mechanism", |row| left(row).map_or("", |left| left.mechanism.word()))
        .about("how the tolerance was left: step, drift, step_or_drift, unknown")
        .date("left_tolerance_from", |row| left(row).map_or(f64::NAN, |left| left.from))
        .about("95 % window of the date")
        .date("left_tolerance_to", |row| left(row).map_or(f64::NAN, |left| left.to))
        .about("95 % window of the date")
        .word("effect", |row| row.doubt.effect.word())
        .about("recall, doubtful, stands; cannot_be_assessed for a row that names no history, lies in the future or cannot be read")
        .text("reason", |row| &row.doubt.reason)
        .date("finding", |row| row.finding)
        .about("date of the check that puts the job in question; of a job that follows from another, that of the first")
        .date("left_tolerance_at", |row| left(row).map_or(f64::NAN, |left| left.at))
        .about("as likely earlier as later; the 95 % window stands in left_tolerance_from and left_tolerance_to")
        .word("case", |row| row.case)
        .about("what became of that finding, as `state` in cases: open while one of the failures until it was good again is")
        .done()
}
