/*! The settings file of a closed loop: how long, which classes, within which bounds. */

use super::super::settings::FleetSettings;
use crate::decisions::DecisionTables;
use crate::intervals::MethodName;
use crate::records::DAYS_PER_YEAR;
use crate::settings::SettingError;
use crate::settings::one_table_file::{OneTableError, one_table};
use serde::{Deserialize, Serialize};

/// How many classes of one size live.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClassSize {
    /// Instruments in a class.
    pub instruments: usize,
    /// Classes of that size, for each kind.
    pub classes: usize,
}

/// A closed loop: fleets live, methods set their intervals.
///
/// The fleets' `instruments`, `years` and `interval_days` are not used here:
/// class sizes, span and first interval stand in this table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct LoopSettings {
    /// Seed of every random number.
    pub seed: u64,
    /// Years lived.
    pub years: f64,
    /// Looks at the truth per year; checks fall on these moments.
    pub steps_per_year: u32,
    /// First interval of every instrument, years.
    pub first_interval_years: f64,
    /// Shortest interval allowed, years.
    pub shortest_years: f64,
    /// Longest interval allowed, years.
    pub longest_years: f64,
    /// Reliability target, above 0 and below 1.
    pub reliability_target: f64,
    /// Class sizes; every kind lives once in each.
    pub class_sizes: Vec<ClassSize>,
    /// The kinds: each needs `cost` and `cost_out_of_tolerance`.
    pub fleet: Vec<FleetSettings>,
}

impl Default for LoopSettings {
    fn default() -> Self {
        LoopSettings {
            seed: 1,
            years: 20.0,
            steps_per_year: 24,
            first_interval_years: 1.0,
            shortest_years: 0.125,
            longest_years: 5.0,
            reliability_target: 0.95,
            class_sizes: vec![ClassSize {
                instruments: 50,
                classes: 1,
            }],
            fleet: Vec::new(),
        }
    }
}

impl LoopSettings {
    /// Settings of a run of these methods, with the loop's bounds and target.
    pub(super) fn interval_tables(&self, methods: Vec<MethodName>) -> DecisionTables {
        let mut tables = DecisionTables::default();
        tables.intervals.methods = methods;
        tables.intervals.reliability_target = self.reliability_target;
        tables.intervals.cap_days = self.longest_years * DAYS_PER_YEAR;
        tables.intervals.floor_days = self.shortest_years * DAYS_PER_YEAR;
        tables
    }

    /// Reads a settings file.
    ///
    /// # Errors
    /// The text of the first error with its line, or all impossible values.
    pub fn from_toml(text: &str) -> Result<Self, OneTableError> {
        one_table(text, Self::check)
    }

    /// Impossible values; empty where the settings can be used.
    pub(crate) fn check(&self) -> Vec<SettingError> {
        let mut errors: Vec<_> = self.fleet.iter().flat_map(FleetSettings::check).collect();
        let mut demand = |holds: bool, key, text: &str| {
            if !holds {
                errors.push(SettingError::new("closed loop", key, text));
            }
        };
        let target = self.reliability_target;
        demand(
            self.years > 0.0 && self.years <= 100.0,
            "years",
            "must be above 0 and at most 100",
        );
        demand(
            (1..=366).contains(&self.steps_per_year),
            "steps_per_year",
            "must be 1 to 366",
        );
        demand(
            target > 0.0 && target < 1.0,
            "reliability_target",
            "must lie above 0 and below 1",
        );
        demand(
            self.shortest_years > 0.0
                && self.shortest_years <= self.first_interval_years
                && self.first_interval_years <= self.longest_years,
            "first_interval_years",
            "must lie between shortest_years (above 0) and longest_years",
        );
        let sizes = &self.class_sizes;
        demand(
            !sizes.is_empty()
                && sizes
                    .iter()
                    .all(|size| size.instruments > 0 && size.classes > 0),
            "class_sizes",
            "needs at least one size, with instruments and classes above 0",
        );
        demand(
            !self.fleet.is_empty(),
            "fleet",
            "at least one [[fleet]] is needed",
        );
        let costed = |fleet: &FleetSettings| fleet.cost > 0.0 && fleet.cost_out_of_tolerance > 0.0;
        demand(
            self.fleet.iter().all(costed),
            "cost",
            "each fleet needs cost and cost_out_of_tolerance above 0",
        );
        errors
    }

    /// Class sizes, in order.
    pub(crate) fn sizes(&self) -> Vec<usize> {
        self.class_sizes
            .iter()
            .map(|size| size.instruments)
            .collect()
    }

    /// Moments at which the truth is looked at, the start included.
    pub(crate) fn moments(&self) -> usize {
        (self.years * f64::from(self.steps_per_year)).round() as usize + 1
    }

    /// Years between two moments.
    pub(crate) fn step(&self) -> f64 {
        1.0 / f64::from(self.steps_per_year)
    }
}
