/*! One run: the picture of the crate's first page in code, one line a stage. */

use super::decisions::Bench;
use super::fits::{Fits, fit_all};
use super::groups::{GroupResults, group_results};
use super::plan::Plan;
use super::season::{self, SeasonResults};
use super::run_record::{RunRecord, count_actions};
use super::timings::Timings;
use super::{doubts, pages, season_tables, tables};
use crate::intervals::{Action, Decision};
use crate::records::{self, LoadError, Loaded, RowCounts};
use crate::report::folder::{FolderError, Staging};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Why a run ended without a report.
#[derive(Debug, thiserror::Error)]
pub enum RunError {
    /// The records cannot be read.
    #[error(transparent)]
    Records(#[from] LoadError),
    /// The run folder cannot be used.
    #[error(transparent)]
    Folder(#[from] FolderError),
    /// A settings file of a study cannot be used.
    #[error("{file} cannot be used: {why}")]
    Settings {
        /// The file.
        file: String,
        /// What is wrong with it.
        why: String,
    },
    /// A file of the report cannot be written.
    #[error("cannot write {file}: {why}")]
    Write {
        /// The file.
        file: String,
        /// The system's word.
        why: String,
    },
}

impl RunError {
    /// A file that could not be written.
    pub fn write(file: impl Into<String>, why: impl ToString) -> Self {
        Self::Write {
            file: file.into(),
            why: why.to_string(),
        }
    }
}

/// What a run found, for the few lines on the terminal.
#[derive(Debug, Clone)]
pub struct RunSummary {
    /// Where the report stands.
    pub folder: PathBuf,
    /// The as-of date, days since 1970-01-01.
    pub as_of: f64,
    /// Row accounts.
    pub rows: RowCounts,
    /// Number of histories.
    pub histories: usize,
    /// Histories with each action.
    pub actions: BTreeMap<&'static str, usize>,
    /// The most urgent histories: name, action and reason.
    pub urgent: Vec<(String, &'static str, String)>,
    /// Reasons of rejected rows with their counts, the most frequent first.
    pub rejects: Vec<(String, usize)>,
    /// Warnings, in words.
    pub warnings: Vec<String>,
}

impl RunSummary {
    /// True where some history needs a person: `withdraw` or `review`.
    pub fn needs_person(&self) -> bool {
        let of = |action: Action| self.actions.get(action.word()).copied().unwrap_or(0);
        of(Action::Withdraw) + of(Action::Review) > 0
    }
}

/// Everything that was computed in memory, before anything is written.
pub struct Results {
    /// The records.
    pub loaded: Loaded,
    /// Classes and fits.
    pub fits: Fits,
    /// What the groups lend.
    pub groups: GroupResults,
    /// Sessions reduced from raw readings, where there are any.
    pub season: Option<SeasonResults>,
}

/// Runs the plan and puts its report in place; `enter` is told the name of each stage.
///
/// # Errors
/// Unreadable records, a folder that cannot be used, a disk that refuses. The
/// previous report then still stands.
pub fn run(plan: &Plan, enter: &dyn Fn(&str)) -> Result<RunSummary, RunError> {
    let mut timings = Timings::start();
    let staging = Staging::open(&plan.out)?;
    enter("reading and screening the records");
    let season = season::read(plan)?;
    let loaded = season::load(plan, season.as_ref())?;
    timings.lap("records");
    enter("fitting the drift of every history");
    let fits = fit_all(&loaded.histories, &plan.settings.drift);
    timings.lap("drift");
    enter("gathering what the groups lend");
    let groups = group_results(plan, &loaded.histories);
    timings.lap("groups");
    let results = Results {
        loaded,
        fits,
        groups,
        season,
    };
    enter("deciding");
    let interval_tables = plan.interval_tables();
    let methods = interval_tables.methods();
    let bench = Bench {
        histories: &results.loaded.histories,
        fits: &results.fits,
        groups: &results.groups.groups,
        methods: &methods,
        tables: &interval_tables,
        drift: &plan.settings.drift,
        past: &[],
        as_of: plan.as_of,
    };
    let decisions = tables::write_all(&bench, &results.loaded, staging.path())?;
    timings.lap("decisions");
    let doubts = doubts::doubts(plan, &results)?;
    doubts::write(&doubts, &results, staging.path())?;
    season_tables::write(results.season.as_ref(), staging.path())?;
    timings.lap("impact");
    enter("drawing charts and pages");
    let report = pages::Report {
        plan,
        results: &results,
        bench: &bench,
        decisions: &decisions,
        doubts: &doubts,
    };
    report.write(staging.path())?;
    timings.lap("report");
    let summary = summarise(plan, &results, &decisions, staging.target());
    write_record(plan, &results, &summary, staging.path())?;
    timings.lap("record");
    write_json(staging.path(), "timings.json", &timings)?;
    staging.publish()?;
    Ok(summary)
}

/// Place of an action in the order of urgency.
fn rank(action: Action) -> usize {
    Action::ALL
        .iter()
        .position(|a| *a == action)
        .unwrap_or(Action::ALL.len())
}

fn summarise(plan: &Plan, results: &Results, decisions: &[Decision], target: &Path) -> RunSummary {
    const SHOWN: usize = 5;
    let histories = &results.loaded.histories;
    let mut order: Vec<usize> = (0..decisions.len()).collect();
    order.sort_by(|&a, &b| {
        let (x, y) = (&decisions[a], &decisions[b]);
        rank(x.action)
            .cmp(&rank(y.action))
            .then(x.due_date.total_cmp(&y.due_date))
            .then(a.cmp(&b))
    });
    let urgent = order.iter().take(SHOWN).map(|&index| {
        let item = &histories.items[index];
        let name = item.name();
        let decision = &decisions[index];
        (name, decision.action.word(), decision.reason.clone())
    });
    let mut reasons: BTreeMap<&str, usize> = BTreeMap::new();
    for reject in &results.loaded.rejects {
        *reasons.entry(&reject.reason).or_insert(0) += 1;
    }
    let mut rejects: Vec<_> = reasons
        .into_iter()
        .map(|(r, n)| (r.to_string(), n))
        .collect();
    rejects.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    RunSummary {
        folder: target.to_path_buf(),
        as_of: plan.as_of,
        rows: results.loaded.rows,
        histories: histories.len(),
        actions: count_actions(decisions.iter().map(|d| d.action)),
        urgent: urgent.collect(),
        rejects,
        warnings: results
            .loaded
            .warnings
            .iter()
            .map(ToString::to_string)
            .collect(),
    }
}

fn write_record(
    plan: &Plan,
    results: &Results,
    summary: &RunSummary,
    folder: &Path,
) -> Result<(), RunError> {
    let record = RunRecord {
        driftbook: env!("CARGO_PKG_VERSION"),
        as_of: records::date::iso(plan.as_of),
        inputs: &results.loaded.inputs,
        rows: results.loaded.rows,
        histories: summary.histories,
        actions: summary.actions.clone(),
        warnings: results.loaded.warnings.len(),
        settings: &plan.settings,
    };
    write_json(folder, "run.json", &record)
}

/// Writes a pretty JSON file.
pub fn write_json(
    folder: &Path,
    name: &str,
    value: &impl serde::Serialize,
) -> Result<(), RunError> {
    let mut text = serde_json::to_string_pretty(value).map_err(|e| RunError::write(name, e))?;
    text.push('\n');
    write_text(folder, name, &text)
}

/// Writes a text file.
pub fn write_text(folder: &Path, name: &str, text: &str) -> Result<(), RunError> {
    std::fs::write(folder.join(name), text).map_err(|e| RunError::write(name, e))
}
