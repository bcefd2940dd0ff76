/*! Limits of the advice. */

use crate::settings::SettingError;
use crate::thermometry::ThermometerFacts;

crate::settings! {
    /// Advice on a change of R at the triple point of water (limits of the site, no source, but for repeat_mk and cycles).
    pub struct AdviceSettings in "thermometry.advice" {
        /// Largest change that is adopted without an anneal, mK.
        adopt_mk: f64 = 0.5 => above(0.0),
        /// Change beyond which the thermometer is withdrawn, mK.
        withdraw_mk: f64 = 5.0 => above(0.0),
        /// Largest total change since the last certificate, mK, however small its steps.
        total_mk: f64 = 5.0 => above(0.0),
        /// Standard uncertainty of a temperature by the coefficients of the certificate, mK, where the thermometer states none (an example).
        u_certificate_mk: f64 = 1.0 => above(0.0),
        /// Longest interval of a thermometer whose W was read at no other point since its certificate, days.
        water_only_days: f64 = 730.0 => above(0.0),
        /// Two values after successive anneals agree within this, mK (Minor and Strouse, NCSLI conference 2005).
        repeat_mk: f64 = 0.2 => above(0.0),
        /// Most anneal cycles (Minor and Strouse, NCSLI conference 2005).
        cycles: u32 = 5 => at_least(1.0),
        /// Coverage factor of the question whether a change is shown at all.
        coverage_factor: f64 = 2.0 => above(0.0),
    }
    together AdviceSettings::together
}

impl AdviceSettings {
    /// The limits that hold for one thermometer: its own where it states them.
    pub(crate) fn of(&self, facts: Option<&ThermometerFacts>) -> Self {
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

    /// What is adopted without an anneal must not be withdrawn.
    fn together(&self) -> Vec<SettingError> {
        let wrong = self.adopt_mk >= self.withdraw_mk;
        let error = || {
            SettingError::new(
                "thermometry.advice",
                "adopt_mk",
                format!(
                    "{}; expected below withdraw_mk, {}",
                    self.adopt_mk, self.withdraw_mk
                ),
            )
        };
        wrong.then(error).into_iter().collect()
    }
}
