/*! `run.json`: what went in, how it was set, what came out. No clock time. */

use crate::decisions::policy::Action;
use crate::files::own_files::OwnFiles;
use crate::records::{InputFile, RegisterCounts, RowCounts};
use crate::report::compose::doubts::JobCounts;
use serde::Serialize;
use std::collections::BTreeMap;

/// The run record; equal inputs give equal bytes.
#[derive(Debug, Serialize)]
pub(crate) struct RunRecord<'a, S: Serialize> {
    /// Version of the program.
    pub driftbook: &'static str,
    /// The as-of date, ISO 8601.
    pub as_of: String,
    /// Every file that was read, with its SHA-256.
    pub inputs: &'a [InputFile],
    /// Row accounts: read = used + merged + rejected.
    pub rows: RowCounts,
    /// Row accounts of the register: rows = matched + unmatched + left_out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub register: Option<RegisterCounts>,
    /// Row accounts of the jobs: read = assessed + cannot_be_assessed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub jobs: Option<JobCounts>,
    /// Number of histories.
    pub histories: usize,
    /// Histories with each action.
    pub actions: BTreeMap<String, usize>,
    /// Findings that nobody has closed.
    pub open_cases: usize,
    /// Number of warnings.
    pub warnings: usize,
    /// SHA-256 of the settings in force as compact JSON, hexadecimal.
    pub settings_sha256: String,
    /// Every setting in force.
    pub settings: &'a S,
    /// Every file of the report with its size, by folder: what a later run may replace.
    pub files: OwnFiles,
}

/// Histories with each action, all actions named.
pub(crate) fn count_actions(actions: impl Iterator<Item = Action>) -> BTreeMap<String, usize> {
    let mut counts: BTreeMap<_, _> = Action::ALL.iter().map(|a| (a.word().into(), 0)).collect();
    for action in actions {
        *counts.entry(action.word().into()).or_insert(0) += 1;
    }
    counts
}
