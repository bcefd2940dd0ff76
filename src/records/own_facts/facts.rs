/*! What the checks of one item state of it, and the interval that follows. */

use super::super::cells::batch::Batch;
use super::super::cells::sparse::value;
use super::super::load::group::Entry;
use super::super::{CheckKind, Item, MOST_DAYS};

/// What the checks of one history state.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Facts {
    /// Groups, that of the newest row first.
    pub(super) groups: Vec<String>,
    /// Interval in use, days.
    pub(super) interval_days: Option<f64>,
    /// Day of the check that states it, since 1970-01-01.
    pub(super) stated_on: f64,
    /// Day of the last calibration, since 1970-01-01: the register's, else that of the checks.
    pub(super) calibrated: f64,
    /// Some check is stated to be a calibration.
    pub(super) kind_stated: bool,
    /// Rows that state a next due date which is not after them, or more than a century: 9999-12-31 stands for none.
    pub(super) no_due: usize,
    /// The newest interval that a row states beside a next due date which is another one: both, days.
    pub(super) apart: Option<(f64, f64)>,
}

/// Due dates are moved to the end of a month, and months have 28 to 31 days: lengths of time that differ by less
/// than this factor are one interval. Common practice, no source.
const ALIKE: f64 = 1.1;

/// A length of time that can be an interval: above 0, a century at the most.
fn bounded(days: f64) -> Option<f64> {
    Some(days).filter(|days| *days > 0.0 && *days <= MOST_DAYS)
}

/// True where two lengths of time are not one interval.
pub(crate) fn differ(one: f64, other: f64) -> bool {
    one > other * ALIKE || other > one * ALIKE
}

/// What `rows` state, the oldest of them first.
pub(super) fn of(rows: &[Entry], batches: &[Batch], item: &Item) -> Facts {
    let mut facts = Facts::default();
    let mut calibrated = None;
    for entry in rows {
        let batch = &batches[entry.batch as usize];
        let kind = value(&batch.columns.kind, entry.row, CheckKind::Unstated);
        if kind == CheckKind::Calibration {
            calibrated = Some(entry.date);
            facts.kind_stated = true;
        }
        let stated = batch.stated.of(entry.row);
        if !stated.group.is_empty()
            && facts
                .groups
                .last()
                .is_none_or(|last| *last != *stated.group)
        {
            facts.groups.retain(|known| *known != *stated.group);
            facts.groups.push(stated.group.into_owned());
        }
        // See `History::last_calibration`.
        let by_register = item.last_calibration.filter(|day| *day <= entry.date);
        let counts_from = by_register.or(calibrated).unwrap_or(entry.date);
        let until_due = stated.next_due - counts_from.floor();
        facts.calibrated = counts_from.floor();
        facts.no_due += usize::from(!until_due.is_nan() && bounded(until_due).is_none());
        let (interval, until_due) = (bounded(stated.interval_days), bounded(until_due));
        let apart = interval
            .zip(until_due)
            .filter(|(one, other)| differ(*one, *other));
        // The date is the one that the laboratory works by, and twelve months have 365 days or 366.
        let date = until_due.filter(|_| apart.is_none());
        if let Some(days) = date.or(interval) {
            (facts.interval_days, facts.apart) = (Some(days), apart);
            facts.stated_on = entry.date.floor();
        }
    }
    facts.groups.reverse();
    facts
}

/// The interval that the register states: as such, else by the next due date.
pub(super) fn of_register(facts: &Facts, item: &Item) -> Option<f64> {
    item.interval_days.or_else(|| until_due(facts, item))
}

/// Days from the last calibration to the register's next due date.
pub(super) fn until_due(facts: &Facts, item: &Item) -> Option<f64> {
    let from = item.last_calibration.map_or(facts.calibrated, f64::floor);
    bounded(item.next_due? - from)
}
