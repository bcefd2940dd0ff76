/*! Facts of the items that their own checks state: the group, and the interval in use; and the interval in use
that a register states by the next due date, which counts from a calibration among the checks where it names none.

The register goes first, and the book of approvals before it: what they state of an item stands, and a record
that says otherwise is told. */

mod facts;
mod told;

pub(super) use facts::differ;

use super::cells::batch::Batch;
use super::load::group::Groups;
use super::{Item, Warning};
use facts::{Facts, of_register};
use rayon::prelude::*;

/// The interval that the newest of an item's own checks states: the day of that check, and days.
type StatedInterval = Option<(f64, f64)>;

/// What the items' own checks state, filled in.
#[derive(Default)]
pub(super) struct Settled {
    /// What is said of it.
    pub(super) warnings: Vec<Warning>,
    /// Of each item; empty where no check states anything.
    intervals: Vec<StatedInterval>,
}

/// Fills in what the items' own checks state and the register does not.
pub(super) fn settle(groups: &Groups, batches: &[Batch], items: &mut [Item]) -> Settled {
    let by_register = items.iter().any(|item| item.next_due.is_some());
    if !by_register && batches.iter().all(|batch| batch.stated.is_empty()) {
        return Settled::default();
    }
    let facts: Vec<Facts> = groups
        .offsets
        .par_windows(2)
        .zip(&*items)
        .map(|(pair, item)| facts::of(&groups.entries[pair[0]..pair[1]], batches, item))
        .collect();
    let warnings = told::of(&facts, items);
    let stated = |facts: &Facts| facts.interval_days.map(|days| (facts.stated_on, days));
    let intervals = facts.iter().map(stated).collect();
    for (facts, item) in facts.into_iter().zip(items) {
        item.interval_days = of_register(&facts, item).or(facts.interval_days);
        if item.group.is_empty() {
            item.group = facts.groups.into_iter().next().unwrap_or_default();
        }
    }
    Settled {
        warnings,
        intervals,
    }
}

impl Settled {
    /// What is said of checks that state another interval than the one which a person had put in
    /// force before them. `items` are those that were settled, joined with the book of approvals.
    pub(super) fn beside_approvals(&self, items: &[Item]) -> Option<Warning> {
        told::beside_approvals(&self.intervals, items)
    }
}

#[cfg(test)]
mod tests;
