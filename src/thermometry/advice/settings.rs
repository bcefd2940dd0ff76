/*! Limits of the advice. */

use crate::settings::SettingError;

crate::settings! {
    /// Advice on a change of R at the triple point of water (limits of the site, no source, but for repeat_mk and cycles).
    pub struct AdviceSettings in "thermometry.advice" {
        /// Largest change that is adopted without an anneal, mK.
        adopt_mk: f64 = 0.5,
        /// Change beyond which the thermometer is withdrawn, mK.
        withdraw_mk: f64 = 5.0,
        /// Two values after successive anneals agree within this, mK (Minor and Strouse, NCSLI conference 2005).
        repeat_mk: f64 = 0.2,
        /// Most anneal cycles (Minor and Strouse, NCSLI conference 2005).
        cycles: u32 = 5,
        /// Coverage factor of the question whether a change is shown at all.
        coverage_factor: f64 = 2.0,
    }
}

impl AdviceSettings {
    /// Limits that contradict one another.
    pub fn check(&self) -> Vec<SettingError> {
        let table = "thermometry.advice";
        let mut errors = Vec::new();
        let above_zero = |value: f64| value.is_finite() && value > 0.0;
        if !above_zero(self.adopt_mk) || self.adopt_mk >= self.withdraw_mk {
            errors.push(SettingError::new(
                table,
                "adopt_mk",
                "expected above 0 and below withdraw_mk",
            ));
        }
        if !above_zero(self.withdraw_mk) {
            errors.push(SettingError::new(
                table,
                "withdraw_mk",
                "expected a number above 0",
            ));
        }
        if !above_zero(self.repeat_mk) {
            errors.push(SettingError::new(
                table,
                "repeat_mk",
                "expected a number above 0",
            ));
        }
        if self.cycles < 1 {
            errors.push(SettingError::new(table, "cycles", "expected at least 1"));
        }
        if !above_zero(self.coverage_factor) {
            errors.push(SettingError::new(
                table,
                "coverage_factor",
                "expected a number above 0",
            ));
        }
        errors
    }
}
