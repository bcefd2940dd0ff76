/*! What became of the checks an earlier run rested on: added, edited, taken away. */

use super::state::{KeptHistory, check_hashes, each_hash};
use crate::records::{History, date};
use crate::words::{agreeing, and_others};
use std::collections::HashMap;

/// Dates named in one sentence.
const DATES_NAMED: usize = 4;

/// What became of the checks of one history.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct DataChange {
    /// Checks of the earlier run that read otherwise now: how many, and their dates now.
    pub edited: (usize, Vec<f64>),
    /// Checks of the earlier run that are gone.
    pub vanished: usize,
    /// Checks dated before the earlier run's last one that it did not have.
    pub late: Vec<f64>,
    /// New checks after the earlier run's last one.
    pub new: usize,
}

/// Compares the checks as multisets of hashes: order of the rows does not count.
pub(crate) fn data_change(kept: &KeptHistory, history: &History<'_>) -> DataChange {
    let hashes = check_hashes(history);
    let mut missing: HashMap<&str, usize> = HashMap::new();
    for hash in kept.checks() {
        *missing.entry(hash).or_default() += 1;
    }
    let last = date::parse_iso(kept.last_check.as_bytes()).unwrap_or(f64::NEG_INFINITY);
    let mut change = DataChange::default();
    let mut unknown: Vec<f64> = Vec::new();
    for (hash, day) in each_hash(&hashes).zip(history.date) {
        match missing.get_mut(hash).filter(|count| **count > 0) {
            Some(count) => *count -= 1,
            None => unknown.push(day.floor()),
        }
    }
    let gone: usize = missing.values().sum();
    let (past, after): (Vec<f64>, Vec<f64>) = unknown.into_iter().partition(|day| *day <= last);
    let edited = gone.min(past.len());
    change.vanished = gone - edited;
    if edited > 0 {
        change.edited = (edited, past);
        change.new = after.len();
    } else {
        // A check on the very day of the last one is a new one.
        change.new = after.len() + past.iter().filter(|day| **day == last).count();
        change.late = past.into_iter().filter(|day| *day < last).collect();
    }
    change
}

/// "2022-03-04, 2022-09-01 and 3 more".
fn dates(days: &[f64]) -> String {
    let named: Vec<String> = days
        .iter()
        .take(DATES_NAMED)
        .map(|day| date::iso(*day))
        .collect();
    named.join(", ") + &and_others(days.len().saturating_sub(DATES_NAMED))
}

/// Sentences for the digest: kind, sentence, red flag. `run` names the run that is compared with, `differs` what has
/// changed since ([`Previous::differs`](super::previous::Previous::differs)).
pub(crate) fn sentences(
    change: &DataChange,
    kept: &KeptHistory,
    (run, differs): (&str, &str),
) -> Vec<(&'static str, String, bool)> {
    let mut changes = Vec::new();
    let before = kept.checks().len();
    if change.edited.0 > 0 {
        changes.push((
            "Data edited in the past",
            format!(
                "{} of the {before} checks that {run} rested on {} otherwise now; dated {}; {differs}",
                change.edited.0,
                agreeing(change.edited.0, "reads", "read"),
                dates(&change.edited.1)
            ),
            true,
        ));
    }
    if change.vanished > 0 {
        changes.push((
            "Data that disappeared",
            format!(
                "{} of the {before} checks that {run} rested on, up to {}, {} gone; {differs}",
                change.vanished,
                kept.last_check,
                agreeing(change.vanished, "is", "are")
            ),
            true,
        ));
    }
    if !change.late.is_empty() {
        changes.push((
            "Checks entered late",
            format!(
                "{} dated before {run}'s latest check of {}: {}",
                change.late.len(),
                kept.last_check,
                dates(&change.late)
            ),
            false,
        ));
    }
    changes
}
