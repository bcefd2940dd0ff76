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
        /// Weight of the newest value in the EWMA.
        ewma_weight: f64 = 0.2 => above(0.0).at_most(1.0),
        /// Half-width of the EWMA limits in its standard deviations.
        ewma_width: f64 = 3.0 => above(0.0),
        /// CUSUM allowance in deviations: half the shift to be found.
        cusum_allowance: f64 = 0.5 => at_least(0.0),
        /// CUSUM decision limit in deviations.
        cusum_limit: f64 = 5.0 => above(0.0),
        /// Values in a row on one side of the centre that signal.
        run_length: u32 = 8 => at_least(2.0),
    }
    together ControlSettings::together
}

impl ControlSettings {
    /// A base period must be long enough to set limits.
    fn together(&self) -> Vec<SettingError> {
        let enough = self.baseline == 0 || self.baseline >= FEWEST_BASELINE as u32;
        let error = || {
            let message = format!(
                "{} values cannot set limits: give 0 (all) or {FEWEST_BASELINE} or more",
                self.baseline
            );
            SettingError::new(Self::TABLE, "baseline", message)
        };
        (!enough).then(error).into_iter().collect()
    }
}

/// Fewest values that set limits at all; 7 to 12 to start and 25 to 30 for limits to
/// rely on are customary (common practice).
pub const FEWEST_BASELINE: usize = 4;

#[cfg(test)]
mod reference_tests;
