/*! Control charts for check standards: is the process still the one that was characterised?

A base period gives centre and deviation; four looks at the series since then find
different troubles: single values (limits), small lasting shifts (EWMA and CUSUM), and
patterns (runs). Sources: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2 and
2.3.5.2. A chart controls the process; it is blind to an error shared with its reference.
*/

mod chart;
mod cusum;
mod ewma;
mod individuals;
mod runs;
mod tests_of_change;

pub use chart::{Centre, ControlResult, Limits, Point, chart};
pub use cusum::{CusumPoint, average_run_length, cusum};
pub use ewma::{EwmaPoint, ewma};
pub use individuals::{Baseline, MOVING_RANGE_D2, MOVING_RANGE_D3, baseline};
pub use runs::{Rule, Signal, runs};
pub use tests_of_change::{
    Change, deviation_change, en_number, mean_change, precision_limit_factor, single_value,
};

use crate::settings::{SettingError, SettingsTable};
use serde::{Deserialize, Serialize};

/// Where the deviation of the limits comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Deviation {
    /// Mean moving range of neighbours, divided by d₂: robust against slow drift.
    #[default]
    MovingRange,
    /// Standard deviation of the base period.
    Standard,
}

crate::settings! {
    /// Control charts of check standards.
    pub struct ControlSettings in "control" {
        /// Values of the base period that set centre and deviation; 0 = all values.
        baseline: u32 = 25,
        /// Deviation of the limits: moving_range or standard.
        deviation: Deviation = Deviation::default(),
        /// Weight of the newest value in the EWMA, above 0 and at most 1.
        ewma_weight: f64 = 0.2,
        /// Half-width of the EWMA limits in its standard deviations.
        ewma_width: f64 = 3.0,
        /// CUSUM allowance in deviations: half the shift to be found.
        cusum_allowance: f64 = 0.5,
        /// CUSUM decision limit in deviations.
        cusum_limit: f64 = 5.0,
        /// Values in a row on one side of the centre that signal.
        run_length: u32 = 8,
    }
}

impl ControlSettings {
    /// Values that parse but cannot be used.
    pub fn check(&self) -> Vec<SettingError> {
        let positive = |x: f64| x > 0.0 && x.is_finite();
        let rules = [
            (
                self.baseline == 0 || self.baseline >= FEWEST_BASELINE as u32,
                "baseline",
                format!(
                    "{} values cannot set limits: give 0 (all) or {FEWEST_BASELINE} or more",
                    self.baseline
                ),
            ),
            (
                positive(self.ewma_weight) && self.ewma_weight <= 1.0,
                "ewma_weight",
                format!(
                    "{} is not a weight: give a number above 0 and at most 1, such as 0.2",
                    self.ewma_weight
                ),
            ),
            (
                positive(self.ewma_width),
                "ewma_width",
                format!(
                    "{} is not a width: give a number above 0, such as 3",
                    self.ewma_width
                ),
            ),
            (
                self.cusum_allowance >= 0.0 && self.cusum_allowance.is_finite(),
                "cusum_allowance",
                format!(
                    "{} is not an allowance: give 0 or more, such as 0.5",
                    self.cusum_allowance
                ),
            ),
            (
                positive(self.cusum_limit),
                "cusum_limit",
                format!(
                    "{} is not a limit: give a number above 0, such as 5",
                    self.cusum_limit
                ),
            ),
            (
                self.run_length >= 2,
                "run_length",
                format!(
                    "{} in a row is no run: give 2 or more, such as 8",
                    self.run_length
                ),
            ),
        ];
        let wrong = |(ok, key, message): (bool, &'static str, String)| {
            (!ok).then(|| SettingError::new(Self::TABLE, key, message))
        };
        rules.into_iter().filter_map(wrong).collect()
    }
}

/// Fewest values that set limits at all; 7 to 12 to start and 25 to 30 for limits to
/// rely on are customary (common practice).
pub const FEWEST_BASELINE: usize = 4;

#[cfg(test)]
mod reference_tests;
