/*! Limits of the advice. */

use crate::settings::SettingError;
use crate::thermometry::ThermometerFacts;

crate::settings! {
    /// Advice on a change of R at the triple point of water (limits of the site, no source, but for repeat_mk and cycles).
    pub struct AdviceSettings in "thermometry.advice" {
        /// Largest change that is adopted without an anneal, mK.
        adopt_mk: f64 = 0.5,
        /// Change beyond which the thermometer is withdrawn, mK.
        withdraw_mk: f64 = 5.0,
        /// Largest total change since the last certificate, mK, however small its steps.
        total_mk: f64 = 5.0,
        /// Standard uncertainty of a temperature by the coefficients of the certificate, mK, where the thermometer states none (an example).
        u_certificate_mk: f64 = 1.0,
        /// Longest interval of a thermometer whose W was read at no other point since its certificate, days.
        water_only_days: f64 = 730.0,
        /// Two values after successive anneals agree within this, mK (Minor and Strouse, NCSLI conference 2005).
        repeat_mk: f64 = 0.2,
        /// Most anneal cycles (Minor and Strouse, NCSLI conference 2005).
        cycles: u32 = 5,
        /// Coverage factor of the question whether a change is shown at all.
        coverage_factor: f64 = 2.0,
    }
}

impl AdviceSettings {
    /// The limits that hold for one thermometer: its own where it states them.
    pub fn of(&self, facts: Option<&ThermometerFacts>) -> Self {
        let own = |of: fn(&ThermometerFacts) -> Option<f64>, site: f64| {
            facts.and_then(of).unwrap_or(site)
        };
        Self {
            adopt_mk: own(|f| f.adopt_mk, self.adopt_mk),
            withdraw_mk: own(|f| f.withdraw_mk, self.withdraw_mk),
            total_mk: own(|f| f.total_mk, self.total_mk),
            u_certificate_mk: own(|f| f.u_certificate_mk, self.u_certificate_mk),
            ..self.clone()
        }
    }

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
        for (key, value) in [
            ("total_mk", self.total_mk),
            ("u_certificate_mk", self.u_certificate_mk),
            ("water_only_days", self.water_only_days),
        ] {
            if !above_zero(value) {
                errors.push(SettingError::new(table, key, "expected a number above 0"));
            }
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
