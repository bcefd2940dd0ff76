/*! The evidence of every group, of partitions that add up. */

use super::GroupEvidence;
use crate::intervals::group::summary::GroupReliabilitySummary;
use crate::records::{Histories, History, Item};
use crate::reliability::{GroupReliability, Renewal, group_key};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Histories of one group in one part of the parallel sum.
const PART: usize = 4096;

/// The name of a group of which two parts of the fleet learned.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the group \"{0}\" was learned twice, each time from a part of it")]
pub(crate) struct LearnedTwice(String);

/// The evidence of every group, by name.
#[derive(Debug, Clone, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub(crate) struct EvidenceByGroup {
    /// One entry a stated group.
    pub by_name: BTreeMap<String, GroupEvidence>,
    /// Histories of outcomes alone that state no group, by point and unit: nothing but the
    /// others' outcomes can tell of their interval.
    unstated: BTreeMap<String, GroupEvidence>,
    none: GroupEvidence,
}

impl EvidenceByGroup {
    /// Sums every history that states a group or has outcomes alone, lives cut by `renewal`, on
    /// all cores; the sums of a group depend on its own histories only, to the last bit, since its
    /// parts are cut at fixed places and merged in order.
    pub(crate) fn build(histories: &Histories, renewal: Renewal) -> Self {
        let mut members: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        for (index, item) in histories.items.iter().enumerate() {
            members.entry(&item.group).or_default().push(index);
        }
        let parts: Vec<&[usize]> = members.values().flat_map(|own| own.chunks(PART)).collect();
        let parts: Vec<Self> = parts
            .into_par_iter()
            .map(|part| Self::of_part(histories, renewal, part))
            .collect();
        let mut groups = Self::default();
        groups.none.renewal = renewal;
        for part in &parts {
            groups.merge(part);
        }
        let stated = groups.by_name.values_mut();
        let all = stated.chain(groups.unstated.values_mut());
        all.for_each(GroupEvidence::gather);
        groups
    }

    fn of_part(histories: &Histories, renewal: Renewal, part: &[usize]) -> Self {
        let mut groups = Self::default();
        for history in part.iter().map(|index| histories.get(*index)) {
            let (map, key, name) = match &history.item.group {
                stated if !stated.is_empty() => {
                    (&mut groups.by_name, stated.clone(), stated.clone())
                }
                _ if history.outcomes_alone() => {
                    let key = group_key(history.item);
                    let name = format!("{key}, no group stated");
                    (&mut groups.unstated, key, name)
                }
                _ => continue,
            };
            let fresh = || GroupEvidence {
                name,
                renewal,
                ..Default::default()
            };
            map.entry(key).or_insert_with(fresh).add(&history);
        }
        groups
    }

    /// Every group, also those of outcomes alone that state none.
    pub(crate) fn all(&self) -> impl Iterator<Item = &GroupEvidence> {
        self.by_name.values().chain(self.unstated.values())
    }

    /// What the group of `history` lends it: that of its stated group, or, to outcomes alone
    /// that state none, of its point and unit; nothing else.
    pub(crate) fn lent_to(&self, history: &History<'_>) -> &GroupEvidence {
        match history.item.group.is_empty() && history.outcomes_alone() {
            true => self
                .unstated
                .get(&group_key(history.item))
                .unwrap_or(&self.none),
            false => self.of(history.item),
        }
    }

    /// The group of `item`; an empty one where it states none.
    pub(crate) fn of(&self, item: &Item) -> &GroupEvidence {
        self.by_name.get(&item.group).unwrap_or(&self.none)
    }

    /// Hands each group its fitted reliability, also at the targets that `items` have
    /// of their own.
    pub(crate) fn set_reliability(&mut self, results: &[GroupReliability], items: &[Item]) {
        let mut targets: BTreeMap<String, Vec<f64>> = BTreeMap::new();
        for item in items {
            let own = item.reliability_target.filter(|p| *p > 0.0 && *p < 1.0);
            if let Some(target) = own {
                targets.entry(group_key(item)).or_default().push(target);
            }
        }
        for result in results {
            let stated = self.by_name.get_mut(&result.group);
            let Some(group) = stated.or_else(|| self.unstated.get_mut(&result.group)) else {
                continue;
            };
            group.reliability = Some(GroupReliabilitySummary::of(result));
            let mut own = targets.remove(&result.group).unwrap_or_default();
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

    /// Takes over the groups of another part of the fleet, which shares none with these.
    ///
    /// # Errors
    /// A group that both have.
    pub(crate) fn join(&mut self, other: EvidenceByGroup) -> Result<(), LearnedTwice> {
        let both =
            |name: &&String| self.by_name.contains_key(*name) || self.unstated.contains_key(*name);
        let names = other.by_name.keys().chain(other.unstated.keys());
        if let Some(name) = names.clone().find(both) {
            return Err(LearnedTwice(name.clone()));
        }
        self.by_name.extend(other.by_name);
        self.unstated.extend(other.unstated);
        self.none.renewal = other.none.renewal;
        Ok(())
    }

    /// Adds another partition's groups.
    pub(crate) fn merge(&mut self, other: &EvidenceByGroup) {
        let maps = [
            (&mut self.by_name, &other.by_name),
            (&mut self.unstated, &other.unstated),
        ];
        for (ours, theirs) in maps {
            for (name, theirs) in theirs {
                ours.entry(name.clone())
                    .and_modify(|ours| ours.merge(theirs))
                    .or_insert_with(|| theirs.clone());
            }
        }
    }
}
