/*! The `[intervals]` table: which methods run, the target, and the bounds of every interval. */

use super::MethodName;
use crate::records::MOST_DAYS;
use crate::records::{Histories, History};
use crate::reliability::group_key;
use crate::settings::SettingError;
use std::collections::BTreeSet;

crate::settings! {
    /// Which interval methods run, and the bounds within which every interval must lie.
    pub struct IntervalSettings in "intervals" {
        /// Methods that make proposals, in the order of the proposals table. By default those that fit what a history has: reliability and interval_test are asked only where no value was kept.
        methods: Vec<MethodName> = vec![MethodName::DriftCrossing, MethodName::LeastCost, MethodName::Reliability, MethodName::IntervalTest, MethodName::Staircase] => SomeOf(MethodName::ALL),
        /// Lowest probability in tolerance at the end of the interval, where the register has none.
        reliability_target: f64 = 0.95 => PROBABILITY,
        /// Interval in use where the register has none, days.
        current_interval_days: f64 = 365.0 => above(0.0).at_most(MOST_DAYS),
        /// Longest interval allowed, days; a shorter one in the register goes first.
        cap_days: f64 = 1826.0 => above(0.0).at_most(MOST_DAYS),
        /// Shortest interval allowed where the register has none, days.
        floor_days: f64 = 30.0 => above(0.0).at_most(MOST_DAYS),
    }
    together IntervalSettings::together
}

/// Groups whose R(t) the methods ask for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum GroupsToFit {
    /// None at all.
    None,
    /// Every one.
    All,
    /// Those with a history of outcomes alone.
    These(BTreeSet<String>),
}

impl GroupsToFit {
    /// True for a group that is asked for.
    pub(crate) fn holds(&self, group: &str) -> bool {
        match self {
            GroupsToFit::None => false,
            GroupsToFit::All => true,
            GroupsToFit::These(groups) => groups.contains(group),
        }
    }
}

impl IntervalSettings {
    /// True where nobody chose the methods, so that each history is asked what fits its data.
    pub(crate) fn by_data(&self) -> bool {
        self.methods == Self::default().methods
    }

    /// The groups of `histories` whose R(t) these methods ask for.
    pub(crate) fn groups_to_fit(&self, histories: &Histories) -> GroupsToFit {
        if !self.methods.contains(&MethodName::Reliability) {
            return GroupsToFit::None;
        }
        if !self.by_data() {
            return GroupsToFit::All;
        }
        let alone = histories.iter().filter(History::outcomes_alone);
        let groups: BTreeSet<String> = alone.map(|history| group_key(history.item)).collect();
        match groups.is_empty() {
            true => GroupsToFit::None,
            false => GroupsToFit::These(groups),
        }
    }

    /// Values that do not go together.
    fn together(&self) -> Vec<SettingError> {
        let mut errors = Vec::new();
        let mut refuse = |key, message| errors.push(SettingError::new("intervals", key, message));
        let (floor, cap) = (self.floor_days, self.cap_days);
        if floor > cap {
            let message = format!("the floor of {floor} d lies above the cap of {cap} d");
            refuse("floor_days", message);
        }
        for (i, method) in self.methods.iter().enumerate() {
            if self.methods[..i].contains(method) {
                refuse("methods", format!("{} is listed twice", method.word()));
            }
        }
        errors
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::SettingsTable;

    #[test]
    fn defaults_can_be_used() {
        assert!(IntervalSettings::default().check().is_empty());
    }

    #[test]
    fn no_setting_looks_ahead_without_end() {
        for cap_days in [1e5, 1e18, 1e300, f64::INFINITY] {
            let settings = IntervalSettings {
                cap_days,
                ..Default::default()
            };
            let errors = settings.check();
            assert_eq!(errors.len(), 1, "{cap_days}");
            says!(errors[0].message, "at most 36525");
        }
    }

    #[test]
    fn impossible_values_are_named() {
        let settings = IntervalSettings {
            methods: vec![],
            reliability_target: 1.0,
            floor_days: 4000.0,
            ..Default::default()
        };
        let keys: Vec<_> = settings.check().iter().map(|e| e.key).collect();
        assert_eq!(keys, ["methods", "reliability_target", "floor_days"]);
    }
}
