/*! What a group of like items lends to the methods: sums that add up over partitions. */

use super::{ChangeSums, Evidence, GroupReliabilitySummary, Outcomes};
use crate::records::{Event, Histories, History, Item, Outcome};
use crate::reliability::GroupReliability;
use rayon::prelude::*;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

/// Intervals within this factor of each other share a bin of the outcomes.
const BIN_FACTOR: f64 = 1.1;
/// Results at one interval: those within two bins of it, about ±25 %.
const NEAR_BINS: i32 = 2;
/// Two checks nearer than this are one visit, not an interval, days.
const SHORTEST_INTERVAL_DAYS: f64 = 1.0;

/// Histories of one part of the parallel sum.
const PART: usize = 4096;

/// Sums over the histories of one group; partitions merge by adding.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct GroupEvidence {
    /// Name of the group; empty where none was stated.
    pub name: String,
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

/// The evidence of every group, by name.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Groups {
    /// One entry a stated group.
    pub by_name: BTreeMap<String, GroupEvidence>,
    none: GroupEvidence,
}

impl Groups {
    /// Sums every history that states a group, on all cores; the sums depend on the
    /// histories only, since the parts are cut at fixed places and merged in order.
    pub fn build(histories: &Histories) -> Self {
        let starts: Vec<usize> = (0..histories.len()).step_by(PART).collect();
        let parts: Vec<Self> = starts
            .into_par_iter()
            .map(|start| Self::of_part(histories, start..histories.len().min(start + PART)))
            .collect();
        let mut groups = Self::default();
        for part in &parts {
            groups.merge(part);
        }
        groups.by_name.values_mut().for_each(GroupEvidence::gather);
        groups
    }

    fn of_part(histories: &Histories, range: Range<usize>) -> Self {
        let mut groups = Self::default();
        for history in range.map(|index| histories.get(index)) {
            let name = &history.item.group;
            if name.is_empty() {
                continue;
            }
            if !groups.by_name.contains_key(name) {
                let fresh = GroupEvidence {
                    name: name.clone(),
                    ..Default::default()
                };
                groups.by_name.insert(name.clone(), fresh);
            }
            if let Some(group) = groups.by_name.get_mut(name) {
                group.add(&history);
            }
        }
        groups
    }

    /// The group of `item`; an empty one where it states none.
    pub fn of(&self, item: &Item) -> &GroupEvidence {
        self.by_name.get(&item.group).unwrap_or(&self.none)
    }

    /// Hands each stated group its fitted reliability, also at the targets that `items` have
    /// of their own.
    pub fn lend(&mut self, results: &[GroupReliability], items: &[Item]) {
        let mut targets: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
        for item in items {
            let own = item.reliability_target.filter(|p| *p > 0.0 && *p < 1.0);
            if let Some(target) = own {
                targets.entry(&item.group).or_default().push(target);
            }
        }
        for result in results {
            let Some(group) = self.by_name.get_mut(&result.group) else {
                continue;
            };
            group.reliability = Some(GroupReliabilitySummary::of(result));
            let mut own = targets.remove(result.group.as_str()).unwrap_or_default();
            own.retain(|target| *target != result.interval.target);
            own.sort_by(f64::total_cmp);
            own.dedup();
            let at = |target: f64| {
                let interval = result.interval_at(target);
                (target, GroupReliabilitySummary::at(result, &interval))
            };
            group.own_targets = own.into_par_iter().map(at).collect();
        }
    }

    /// Adds another partition's groups.
    pub fn merge(&mut self, other: &Groups) {
        for (name, theirs) in &other.by_name {
            self.by_name
                .entry(name.clone())
                .and_modify(|ours| ours.merge(theirs))
                .or_insert_with(|| theirs.clone());
        }
    }
}

impl GroupEvidence {
    /// The sums of one history alone.
    pub fn alone(history: &History<'_>) -> Self {
        let mut own = Self::default();
        own.add(history);
        own
    }

    /// Adds one history.
    pub fn add(&mut self, history: &History<'_>) {
        self.histories += 1;
        let mut rows = Evidence::calibration_rows(history);
        let Some(mut before) = rows.next() else {
            return;
        };
        for row in rows {
            self.add_interval(history, before, row);
            before = row;
        }
    }

    /// Adds only the last interval of a history of the group: what one more calibration adds.
    pub fn add_last(&mut self, history: &History<'_>) {
        let rows: Vec<usize> = Evidence::calibration_rows(history).collect();
        let [.., before, row] = rows[..] else {
            return;
        };
        self.add_interval(history, before, row);
    }

    fn add_interval(&mut self, history: &History<'_>, before: usize, row: usize) {
        self.near.clear();
        let days = history.date[row] - history.date[before];
        if days < SHORTEST_INTERVAL_DAYS {
            return;
        }
        self.intervals += 1;
        self.log_days += days.ln();
        if history.outcome_at(row) != Outcome::Unknown {
            let near = self.outcomes.entry(bin(days)).or_default();
            near.add(history, row, days);
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
    pub fn merge(&mut self, other: &GroupEvidence) {
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
    pub fn outcomes_near(&self, days: f64) -> Cow<'_, Outcomes> {
        let centre = bin(days);
        match self.near.get(&centre) {
            Some(gathered) => Cow::Borrowed(gathered),
            None => Cow::Owned(self.sum_near(centre)),
        }
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
    pub fn reliability_at(&self, target: f64) -> Option<&GroupReliabilitySummary> {
        let own = self.own_targets.iter().find(|(at, _)| *at == target);
        own.map(|(_, summary)| summary)
            .or(self.reliability.as_ref())
    }

    /// Geometric mean of the group's intervals between calibrations, days, from two on.
    pub fn typical_interval(&self) -> Option<f64> {
        (self.intervals >= 2).then(|| (self.log_days / self.intervals as f64).exp())
    }
}

fn bin(days: f64) -> i32 {
    (days.ln() / BIN_FACTOR.ln()).round() as i32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::{Record, fleet};

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
        let whole = Groups::build(&fleet((0..60).map(member)));
        let mut merged = Groups::build(&fleet((0..25).map(member)));
        merged.merge(&Groups::build(&fleet((25..60).map(member))));
        assert_eq!(whole.by_name.keys().collect::<Vec<_>>(), ["a", "b"]);
        for (name, group) in &whole.by_name {
            let other = &merged.by_name[name];
            assert_eq!(group.outcomes, other.outcomes);
            assert_eq!((group.histories, group.intervals), (20, 80));
            assert_eq!(group.changes.n, other.changes.n);
            assert!((group.changes.dd_per_t / other.changes.dd_per_t - 1.0).abs() < 1e-12);
            let (one, two) = (group.typical_interval(), other.typical_interval());
            assert!((one.unwrap() / two.unwrap() - 1.0).abs() < 1e-12);
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
        assert_eq!(GroupEvidence::alone(&histories.get(0)).changes.n, 1);
    }
}
