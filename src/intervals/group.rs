/*! What a group of like items lends to the methods: sums that add up over partitions. */

pub(super) mod by_group;
pub(super) mod pooled;
pub(super) mod summary;

use self::summary::GroupReliabilitySummary;
use super::Evidence;
use super::change_law::sums::ChangeSums;
use super::evidence::outcomes::{InLife, Outcomes};
use super::exact_test::shows;
use crate::records::{Event, History, Outcome};
use crate::reliability::Renewal;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// Intervals within this factor of each other share a bin of the outcomes.
const BIN_FACTOR: f64 = 1.1;
/// Results at one interval: those within two bins of it, about ±25 %.
const NEAR_BINS: i32 = 2;
/// Two checks nearer than this are one visit, not an interval, days.
const SHORTEST_INTERVAL_DAYS: f64 = 1.0;

/// Sums over the histories of one group; partitions merge by adding.
#[derive(Debug, Clone, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub(crate) struct GroupEvidence {
    /// Name of the group; empty where none was stated.
    pub name: String,
    /// What restores an item, so that its next check belongs to another life.
    pub renewal: Renewal,
    /// Number of histories.
    pub histories: u64,
    /// Number of intervals between calibrations.
    pub intervals: u64,
    /// Sum of the natural logarithms of these intervals in days.
    pub log_days: f64,
    /// Outcomes by the interval that ended at them, in bins of 10 %.
    pub outcomes: BTreeMap<i32, Outcomes>,
    /// The outcomes at or near each interval, gathered once for all its items; empty while sums
    /// still grow.
    pub(super) near: BTreeMap<i32, Outcomes>,
    /// Changes since the last calibration.
    pub changes: ChangeSums,
    /// Reliability result of the group, where the pipeline computed one.
    pub reliability: Option<GroupReliabilitySummary>,
    /// The same at each other target that an item of the group has of its own.
    pub own_targets: Vec<(f64, GroupReliabilitySummary)>,
}

/// An interval that ended at a calibration.
#[derive(Debug, Clone, Copy)]
struct Ended {
    before: usize,
    row: usize,
    days: f64,
    /// What it is to its life, among the intervals as long.
    life: InLife,
}

impl GroupEvidence {
    /// The sums of one history alone, its lives cut as those of this group.
    pub(crate) fn alone(&self, history: &History<'_>) -> Self {
        let mut own = Self {
            renewal: self.renewal,
            ..Self::default()
        };
        own.add(history);
        own
    }

    pub(crate) fn add(&mut self, history: &History<'_>) {
        self.histories += 1;
        for ended in self.ended(history) {
            self.add_interval(history, ended);
        }
    }

    /// Adds only the last interval of a history of the group: what one more calibration adds.
    pub(crate) fn add_last(&mut self, history: &History<'_>) {
        if let Some(ended) = self.ended(history).last() {
            self.add_interval(history, *ended);
        }
    }

    /// The intervals between the calibrations of `history`, oldest first.
    fn ended(&self, history: &History<'_>) -> Vec<Ended> {
        let rows: Vec<usize> = Evidence::calibration_rows(history).collect();
        let (mut in_this_life, mut failed_in_it): (Option<i32>, Option<i32>) = (None, None);
        let mut all = Vec::with_capacity(rows.len());
        for pair in rows.windows(2) {
            let (before, row) = (pair[0], pair[1]);
            if (before..row).any(|i| self.renewal.renews(history, i)) {
                (in_this_life, failed_in_it) = (None, None);
            }
            let days = history.date[row] - history.date[before];
            if days < SHORTEST_INTERVAL_DAYS {
                continue;
            }
            let judged = history.outcome_at(row) != Outcome::Unknown;
            let failed = history.outcome_at(row) == Outcome::Out;
            // Results that are summed together lie within twice as many bins.
            let near = |last: i32| (bin(days) - last).abs() <= 2 * NEAR_BINS;
            let life = InLife {
                first: judged && !in_this_life.is_some_and(near),
                first_failure: failed && !failed_in_it.is_some_and(near),
            };
            if judged {
                in_this_life = Some(bin(days));
            }
            if failed {
                failed_in_it = Some(bin(days));
            }
            all.push(Ended {
                before,
                row,
                days,
                life,
            });
        }
        all
    }

    fn add_interval(&mut self, history: &History<'_>, ended: Ended) {
        let Ended {
            before,
            row,
            days,
            life,
        } = ended;
        self.near.clear();
        self.intervals += 1;
        self.log_days += days.ln();
        if history.outcome_at(row) != Outcome::Unknown {
            let near = self.outcomes.entry(bin(days)).or_default();
            near.add(history, row, days, life);
        }
        self.add_change(history, before, row, days);
    }

    /// A change counts where both ends are known: the value as left is stated or
    /// nothing happened, and no shock came between.
    fn add_change(&mut self, history: &History<'_>, before: usize, row: usize, days: f64) {
        let Some(tolerance) = history.tolerance_at(row) else {
            return;
        };
        let lost = history.happened(before).restarts_level() && history.as_left[before].is_nan();
        let shocked = history.happened(row) == Event::Shocked;
        let change = (history.as_found[row] - history.left(before)) / tolerance.half_width();
        if lost || shocked || !change.is_finite() {
            return;
        }
        self.changes.add(days, change);
    }

    /// Adds another partition's sums of the same group.
    pub(crate) fn merge(&mut self, other: &GroupEvidence) {
        self.near.clear();
        self.histories += other.histories;
        self.intervals += other.intervals;
        self.log_days += other.log_days;
        for (bin, theirs) in &other.outcomes {
            self.outcomes.entry(*bin).or_default().merge(theirs);
        }
        self.changes.merge(&other.changes);
        if self.reliability.is_none() {
            self.reliability.clone_from(&other.reliability);
            self.own_targets.clone_from(&other.own_targets);
        }
    }

    /// Outcomes at or near an interval of `days`: within about a quarter of it.
    pub(crate) fn outcomes_near(&self, days: f64) -> Cow<'_, Outcomes> {
        let centre = bin(days);
        match self.near.get(&centre) {
            Some(gathered) => Cow::Borrowed(gathered),
            None => Cow::Owned(self.sum_near(centre)),
        }
    }

    /// The longest interval near which the exact lower limit of the proportion in tolerance is
    /// at or above `target`.
    pub(crate) fn longest_shown(&self, target: f64, confidence: f64) -> Option<f64> {
        let shown = |bin: &&i32| {
            let seen = self.outcomes_near(bin_days(**bin));
            seen.checks > 0 && shows(&seen, target, confidence)
        };
        let bin = self.outcomes.keys().rev().find(shown)?;
        Some(bin_days(*bin))
    }

    fn sum_near(&self, centre: i32) -> Outcomes {
        let near = centre.saturating_sub(NEAR_BINS)..=centre.saturating_add(NEAR_BINS);
        let mut sum = Outcomes::default();
        for (_, outcomes) in self.outcomes.range(near) {
            sum.merge(outcomes);
        }
        sum
    }

    fn gather(&mut self) {
        let bins = self.outcomes.keys();
        let near = bins.map(|bin| (*bin, self.sum_near(*bin))).collect();
        self.near = near;
    }

    /// The group's fitted reliability at `target`, an item's own or that of the settings.
    pub(crate) fn reliability_at(&self, target: f64) -> Option<&GroupReliabilitySummary> {
        let own = self.own_targets.iter().find(|(at, _)| *at == target);
        own.map(|(_, summary)| summary)
            .or(self.reliability.as_ref())
    }

    /// Geometric mean of the group's intervals between calibrations, days, from two on.
    pub(crate) fn typical_interval(&self) -> Option<f64> {
        (self.intervals >= 2).then(|| (self.log_days / self.intervals as f64).exp())
    }
}

fn bin_days(bin: i32) -> f64 {
    BIN_FACTOR.powi(bin)
}

fn bin(days: f64) -> i32 {
    (days.ln() / BIN_FACTOR.ln()).round() as i32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::*;

    fn member(i: usize) -> Record {
        let mut record = Record::new();
        record.item.group = ["a", "b", ""][i % 3].into();
        for j in 0..4 {
            record = record.check(100.0 + 300.0 * j as f64 + i as f64, 0.01 * (i * j) as f64);
        }
        record.left(0.0).check(1500.0 + i as f64, 0.5)
    }

    #[test]
    fn partitions_merged_equal_the_whole() {
        let whole = EvidenceByGroup::build(&fleet((0..60).map(member)), Renewal::default());
        let mut merged = EvidenceByGroup::build(&fleet((0..25).map(member)), Renewal::default());
        merged.merge(&EvidenceByGroup::build(
            &fleet((25..60).map(member)),
            Renewal::default(),
        ));
        assert_eq!(whole.by_name.keys().collect::<Vec<_>>(), ["a", "b"]);
        for (name, group) in &whole.by_name {
            let other = &merged.by_name[name];
            assert_eq!(group.outcomes, other.outcomes);
            assert_eq!((group.histories, group.intervals), (20, 80));
            assert_eq!(group.changes.n, other.changes.n);
            near!(group.changes.dd_per_t / other.changes.dd_per_t, 1.0, 1e-12);
            let (one, two) = (group.typical_interval(), other.typical_interval());
            near!(one.unwrap() / two.unwrap(), 1.0, 1e-12);
        }
    }

    #[test]
    fn a_lost_value_and_a_shock_make_no_change() {
        let mut record = Record::new()
            .check(0.0, 0.0)
            .check(300.0, 0.2)
            .check(600.0, 0.3);
        record.columns.event[1] = Event::Adjusted;
        record.columns.event[2] = Event::Shocked;
        let histories = record.histories();
        assert_eq!(
            GroupEvidence::default().alone(&histories.get(0)).changes.n,
            1
        );
    }
}
