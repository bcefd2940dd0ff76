/*! What a run found, for the few lines on the terminal. */

use super::run_record::count_actions;
use crate::decisions::policy::{Action, Decision, leading};
use crate::ledger::standing::Standing;
use crate::records::{Reject, RowCounts, once};
use crate::report::compose::levelled::pending;
use crate::report::compose::results::Results;
use crate::report::gathered::{gathered, names};
use crate::settings::plan::Plan;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

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
    pub actions: BTreeMap<String, usize>,
    /// Findings that nobody has closed, those of retired and lost items too.
    pub open_cases: usize,
    /// The most urgent histories, those of which the same is said together: names, action and reason.
    pub urgent: Vec<(String, &'static str, String)>,
    /// Reasons of rejected rows with their counts, the most frequent first.
    pub rejects: Vec<(String, usize)>,
    /// Warnings, in words.
    pub warnings: Vec<String>,
    /// Proposals that nobody has decided yet, in words.
    pub pending: Option<String>,
    /// Failures that no book of cases closes, in words.
    pub unkept: Option<String>,
    /// True where the very same report stood already and nothing was made anew.
    pub stood: bool,
    /// What a person should know of earlier runs: a broken ledger line, a clock gone backwards.
    pub notes: Vec<String>,
}

impl RunSummary {
    /// The summary of a report that stood already, from its own record.
    pub fn of_standing(report: Standing, folder: &Path, notes: Vec<String>) -> Self {
        Self {
            folder: folder.to_path_buf(),
            as_of: report.day(),
            rows: report.rows,
            histories: report.histories,
            actions: report.actions,
            open_cases: report.open_cases,
            urgent: Vec::new(),
            rejects: Vec::new(),
            warnings: Vec::new(),
            pending: None,
            unkept: None,
            stood: true,
            notes,
        }
    }

    /// True where some history needs a person: `withdraw`, `review` or a case
    /// that nobody closed, or where there is none at all.
    pub fn needs_person(&self) -> bool {
        let of = |action: Action| self.actions.get(action.word()).copied().unwrap_or(0);
        of(Action::Withdraw) + of(Action::Review) + self.open_cases > 0 || self.histories == 0
    }
}

/// Place of an action in the order of urgency.
fn rank(action: Action) -> usize {
    Action::ALL
        .iter()
        .position(|a| *a == action)
        .unwrap_or(Action::ALL.len())
}

/// Why a row was rejected, in one line: of a session its first reason, without the thermometer's name,
/// so that those of one session count together. All of it stands in the rejects.
fn short_reason(reject: &Reject) -> Cow<'_, str> {
    let whole = &*reject.reason;
    match (&*reject.column, whole.split_once(": ")) {
        ("session", Some((_, reasons))) => {
            let first = reasons.split("; ").next().unwrap_or(reasons);
            Cow::Owned(format!("session {}: {first}", reject.value))
        }
        _ => Cow::Borrowed(whole),
    }
}

/// Summarises a finished run.
pub fn summarise(
    plan: &Plan,
    results: &Results,
    decisions: &[Decision],
    target: &Path,
) -> RunSummary {
    const SHOWN: usize = 5;
    const LOOKED_AT: usize = 100;
    let histories = &results.loaded.histories;
    let decided = |i: &usize| decisions[*i].action != Action::NotDecided;
    let mut order: Vec<usize> = (0..decisions.len()).filter(decided).collect();
    order.sort_by(|&a, &b| {
        let (x, y) = (&decisions[a], &decisions[b]);
        rank(x.action)
            .cmp(&rank(y.action))
            .then(x.act_on().total_cmp(&y.act_on()))
            .then(a.cmp(&b))
    });
    let said = |index: &usize| (decisions[*index].action, leading(&decisions[*index].reason));
    order.truncate(LOOKED_AT);
    let urgent = gathered(order, said, SHOWN).into_iter().map(|items| {
        let named: Vec<String> = items.iter().map(|i| histories.items[*i].name()).collect();
        let (action, reason) = said(&items[0]);
        (names(&named), action.word(), reason.to_string())
    });
    let mut reasons: BTreeMap<Cow<'_, str>, usize> = BTreeMap::new();
    for reject in &results.loaded.rejects {
        *reasons.entry(short_reason(reject)).or_insert(0) += 1;
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
        open_cases: decisions.iter().filter_map(|d| d.open_cases).sum(),
        urgent: urgent.collect(),
        rejects,
        warnings: once(&results.loaded.warnings),
        pending: pending(decisions, plan.as_of),
        unkept: None,
        stood: false,
        notes: Vec::new(),
    }
}
