/*! The methods' own tables, and the list of methods that a pipeline asks for. */

use super::*;
use crate::settings::{SettingError, SettingRow, SettingsTable};
use policy::PolicySettings;

/// Every table of this room: `[intervals]`, one a method that has settings, `[policy]`.
#[derive(Debug, Clone, Default, PartialEq)]
#[allow(missing_docs)]
pub struct IntervalTables {
    pub intervals: IntervalSettings,
    pub staircase: StaircaseSettings,
    pub least_cost: LeastCostSettings,
    pub policy: PolicySettings,
}

impl IntervalTables {
    /// Rows of the settings reference, in the order of the tables.
    pub fn rows() -> Vec<SettingRow> {
        [
            IntervalSettings::rows(),
            StaircaseSettings::rows(),
            LeastCostSettings::rows(),
            PolicySettings::rows(),
        ]
        .concat()
    }

    /// The values that cannot be used, over all tables.
    pub fn check(&self) -> Vec<SettingError> {
        [
            self.intervals.check(),
            self.staircase.check(),
            self.least_cost.check(),
            self.policy.check(),
        ]
        .concat()
    }

    /// The methods that `[intervals] methods` lists, in its order.
    pub fn methods(&self) -> Vec<Box<dyn Method>> {
        let names = &self.intervals.methods;
        names.iter().filter_map(|name| self.method(*name)).collect()
    }

    fn method(&self, name: MethodName) -> Option<Box<dyn Method>> {
        Some(match name {
            MethodName::DriftCrossing => Box::new(DriftCrossing),
            MethodName::Staircase => Box::new(Staircase {
                settings: self.staircase.clone(),
            }),
            MethodName::LeastCost => Box::new(LeastCost {
                settings: self.least_cost.clone(),
            }),
            _ => return None,
        })
    }
}
