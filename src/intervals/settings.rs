/*! The `[intervals]` table: which methods run, the target, and the bounds of every interval. */

use super::MethodName;
use crate::settings::SettingError;

crate::settings! {
    /// Which interval methods run, and the bounds within which every interval must lie.
    pub struct IntervalSettings in "intervals" {
        /// Methods that make proposals, in the order of the proposals table.
        methods: Vec<MethodName> = vec![MethodName::DriftCrossing, MethodName::LeastCost, MethodName::Staircase],
        /// Lowest probability in tolerance at the end of the interval, above 0 and below 1, where the register has none.
        reliability_target: f64 = 0.95,
        /// Interval in use where the register has none, days.
        current_interval_days: f64 = 365.0,
        /// Longest interval allowed, days; a shorter one in the register goes first.
        cap_days: f64 = 1826.0,
        /// Shortest interval allowed where the register has none, days.
        floor_days: f64 = 30.0,
    }
}

impl IntervalSettings {
    /// The values that cannot be used, each with what was expected.
    pub fn check(&self) -> Vec<SettingError> {
        let table = "intervals";
        let mut errors = Vec::new();
        let mut refuse = |key, wrong: bool, message: String| {
            if wrong {
                errors.push(SettingError::new(table, key, message));
            }
        };
        let positive = |value: f64| value.is_finite() && value > 0.0;
        let target = self.reliability_target;
        refuse(
            "reliability_target",
            !(target > 0.0 && target < 1.0),
            format!("{target} is not a probability above 0 and below 1, such as 0.95"),
        );
        for (key, days) in [
            ("current_interval_days", self.current_interval_days),
            ("cap_days", self.cap_days),
            ("floor_days", self.floor_days),
        ] {
            refuse(
                key,
                !positive(days),
                format!("{days} is not a number of days above 0"),
            );
        }
        refuse(
            "floor_days",
            self.floor_days > self.cap_days,
            format!(
                "the floor of {} d lies above the cap of {} d",
                self.floor_days, self.cap_days
            ),
        );
        refuse(
            "methods",
            self.methods.is_empty(),
            "no method is listed; name at least one, such as \"drift_crossing\"".into(),
        );
        for (i, method) in self.methods.iter().enumerate() {
            refuse(
                "methods",
                self.methods[..i].contains(method),
                format!("{} is listed twice", method.word()),
            );
        }
        errors
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn defaults_can_be_used() {
        assert!(IntervalSettings::default().check().is_empty());
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
        assert_eq!(keys, ["reliability_target", "floor_days", "methods"]);
    }
}
