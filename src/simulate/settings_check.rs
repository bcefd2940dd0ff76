/*! Reading and checking the settings of a simulation: impossible values named with their fleet. */

use super::distribution::Distribution;
use super::settings::{FleetSettings, SimulationSettings};
use crate::settings::SettingError;
use crate::settings::one_table_file::{OneTableError, one_table};

impl SimulationSettings {
    /// Reads a settings file.
    ///
    /// # Errors
    /// The text of the first error with its line, or all impossible values.
    pub fn from_toml(text: &str) -> Result<Self, OneTableError> {
        one_table(text, Self::check)
    }

    /// Impossible values; empty where the settings can be used.
    pub(crate) fn check(&self) -> Vec<SettingError> {
        let mut errors: Vec<SettingError> =
            self.fleet.iter().flat_map(FleetSettings::check).collect();
        if self.fleet.is_empty() {
            errors.push(SettingError::new(
                "fleet",
                "name",
                "at least one [[fleet]] is needed",
            ));
        }
        for (i, fleet) in self.fleet.iter().enumerate() {
            if self.fleet[..i]
                .iter()
                .any(|other| other.prefix == fleet.prefix)
            {
                let text = format!("two fleets share the prefix \"{}\"", fleet.prefix);
                errors.push(SettingError::new("fleet", "prefix", text));
            }
        }
        errors
    }
}

impl FleetSettings {
    /// Impossible values of one fleet.
    pub(crate) fn check(&self) -> Vec<SettingError> {
        let mut errors = Vec::new();
        let mut demand = |holds: bool, table, key, text: &str| {
            if !holds {
                let message = format!("fleet \"{}\": {text}", self.name);
                errors.push(SettingError::new(table, key, message));
            }
        };
        for (holds, table, key, text) in self.demands() {
            demand(holds, table, key, text);
        }
        for (table, key, share) in self.shares() {
            demand(
                (0.0..=1.0).contains(&share),
                table,
                key,
                "must be a share from 0 to 1",
            );
        }
        for (table, key, distribution) in self.distributions() {
            let complaint = distribution.complaint();
            demand(
                complaint.is_none(),
                table,
                key,
                &complaint.clone().unwrap_or_default(),
            );
        }
        errors
    }

    /// What single values must be: whether it holds, table, key, the demand.
    fn demands(&self) -> [(bool, &'static str, &'static str, &'static str); 10] {
        const NEITHER: &str = "must hold neither comma nor quote";
        const GIVEN: &str = "must be given, without comma or quote";
        const ABOVE_ZERO: &str = "must be above 0";
        const NOT_NEGATIVE: &str = "must not be negative";
        let above_zero = |value: f64| value > 0.0 && value.is_finite();
        let plain = |text: &str| !text.contains(['"', ',', '\n', '\r']);
        let named = |text: &str| !text.is_empty() && plain(text);
        let reading = &self.reading;
        let tolerance = above_zero(self.tolerance);
        let years = above_zero(self.years) && self.years <= 200.0;
        let u_common = reading.u_common >= 0.0;
        let tail = reading.tail == 0.0 || reading.tail > 2.0;
        let residual = self.adjustment.residual >= 0.0;
        [
            (named(&self.name), "fleet", "name", GIVEN),
            (named(&self.prefix), "fleet", "prefix", GIVEN),
            (plain(&self.point), "fleet", "point", NEITHER),
            (plain(&self.unit), "fleet", "unit", NEITHER),
            (tolerance, "fleet", "tolerance", ABOVE_ZERO),
            (self.decimals <= 9, "fleet", "decimals", "must be 0 to 9"),
            (years, "fleet", "years", "must be above 0 and at most 200"),
            (u_common, "fleet.reading", "u_common", NOT_NEGATIVE),
            (
                tail,
                "fleet.reading",
                "tail",
                "must be 0 (normal) or above 2",
            ),
            (residual, "fleet.adjustment", "residual", NOT_NEGATIVE),
        ]
    }

    fn distributions(&self) -> Vec<(&'static str, &'static str, &Distribution)> {
        let mut all: Vec<_> = self
            .truth
            .distributions()
            .map(|(key, distribution)| ("fleet.truth", key, distribution))
            .into();
        all.push(("fleet.reading", "u", &self.reading.u));
        all.push(("fleet.reading", "stated", &self.reading.stated));
        all.push((
            "fleet.schedule",
            "interval_days",
            &self.schedule.interval_days,
        ));
        all.push(("fleet.schedule", "late_days", &self.schedule.late_days));
        all
    }

    fn shares(&self) -> [(&'static str, &'static str, f64); 12] {
        let faults = &self.faults;
        [
            ("fleet.reading", "without_u", self.reading.without_u),
            ("fleet.reading", "outcomes_only", self.reading.outcomes_only),
            ("fleet.schedule", "missed", self.schedule.missed),
            ("fleet.adjustment", "forgotten", self.adjustment.forgotten),
            ("fleet.faults", "no_instrument", faults.no_instrument),
            ("fleet.faults", "unreadable_date", faults.unreadable_date),
            (
                "fleet.faults",
                "unreadable_number",
                faults.unreadable_number,
            ),
            ("fleet.faults", "unit_slip", faults.unit_slip),
            ("fleet.faults", "sign_flip", faults.sign_flip),
            ("fleet.faults", "repeated", faults.repeated),
            ("fleet.faults", "blunder", faults.blunder),
            (
                "fleet.faults",
                "silent_adjustment",
                faults.silent_adjustment,
            ),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SMALL: &str = "[[fleet]]\nname = \"a\"\nprefix = \"A\"\n";

    #[test]
    fn a_small_file_is_enough() {
        let settings = SimulationSettings::from_toml(SMALL).unwrap();
        assert_eq!(settings.fleet[0].instruments, 100);
    }

    #[test]
    fn an_unknown_key_is_an_error_that_names_it() {
        let error = SimulationSettings::from_toml(&format!("{SMALL}[fleet.truth]\ndrft = 1"))
            .unwrap_err()
            .to_string();
        assert!(error.contains("drft") && error.contains("drift"), "{error}");
    }

    #[test]
    fn impossible_values_are_named_with_their_fleet() {
        let text = format!("{SMALL}tolerance = -1.0\n[fleet.faults]\nblunder = 2.0\n");
        let error = SimulationSettings::from_toml(&text)
            .unwrap_err()
            .to_string();
        assert!(
            error.contains("tolerance") && error.contains("blunder"),
            "{error}"
        );
    }
}
