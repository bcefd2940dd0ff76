/*! Counts for rates: how often each item was found out of tolerance in how many years. */

use super::group::group_key;
use crate::records::{DAYS_PER_YEAR, Histories, History, Outcome};
use std::collections::BTreeMap;

/// Failures and time at risk of one history.
#[derive(Debug, Clone, PartialEq)]
pub struct ItemCount {
    /// Instrument.
    pub instrument: String,
    /// Point; may be empty.
    pub point: String,
    /// Checks with an outcome after some time at risk.
    pub checks: u64,
    /// Of these, out of tolerance.
    pub failures: u64,
    /// Years between checks that ended in a known outcome.
    pub exposure_years: f64,
}

/// Counts of every history by group, in the order of `histories`.
pub fn item_counts(histories: &Histories) -> BTreeMap<String, Vec<ItemCount>> {
    let mut groups: BTreeMap<String, Vec<ItemCount>> = BTreeMap::new();
    for history in histories.iter() {
        let mut count = ItemCount {
            instrument: history.item.instrument.clone(),
            point: history.item.point.clone(),
            checks: 0,
            failures: 0,
            exposure_years: 0.0,
        };
        for (years, failed, _) in risks(&history) {
            count.checks += 1;
            count.failures += u64::from(failed);
            count.exposure_years += years;
        }
        groups
            .entry(group_key(history.item))
            .or_default()
            .push(count);
    }
    groups
}

/// Each stretch between checks that ended in a known outcome: (years, failed, age in years).
pub(super) fn risks<'a>(history: &'a History<'_>) -> impl Iterator<Item = (f64, bool, f64)> + 'a {
    (1..history.len()).filter_map(|i| {
        let years = (history.date[i] - history.date[i - 1]) / DAYS_PER_YEAR;
        let age = (history.date[i] - history.date[0]) / DAYS_PER_YEAR;
        let failed = match history.outcome[i] {
            Outcome::Unknown => return None,
            outcome => outcome == Outcome::Out,
        };
        (years > 0.0).then_some((years, failed, age))
    })
}
