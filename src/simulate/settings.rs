/*! The settings file of a simulation: fleets, how they are read, checked, adjusted and spoiled.

```toml
seed = 1
as_of = "2026-06-30"

[[fleet]]
name = "slow drift"
prefix = "SD"
instruments = 200

[fleet.truth]
drift = { normal = { mean = 0.0, deviation = 0.1 } }
wander = 0.03
```

Lengths of time are days or years as the key says; errors are in half widths of
the tolerance, so that a fleet means the same in every unit.
*/

use super::distribution::Distribution;
use super::truth::TruthSettings;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

/// A whole simulation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SimulationSettings {
    /// Seed of every random number.
    #[serde(default = "default_seed")]
    pub seed: u64,
    /// Day the records end, ISO.
    #[serde(default = "default_as_of", with = "iso_date")]
    pub as_of: NaiveDate,
    /// Also write the true error at every check.
    #[serde(default)]
    pub true_errors: bool,
    /// The fleets; at least one.
    pub fleet: Vec<FleetSettings>,
}

fn default_seed() -> u64 {
    1
}

/// Dates of the settings file: ISO text.
mod iso_date {
    use chrono::NaiveDate;
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    pub(super) fn serialize<S: Serializer>(date: &NaiveDate, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(date)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<NaiveDate, D::Error> {
        let text = String::deserialize(from)?;
        let hint =
            || D::Error::custom(format!("\"{text}\" is no date; write it as \"2026-06-30\""));
        text.parse().map_err(|_| hint())
    }
}

fn default_as_of() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 6, 30).unwrap_or_default()
}

crate::settings! {
    /// One fleet: instruments of one group.
    pub struct FleetSettings in "fleet" {
        /// Name of the group; required.
        name: String = String::new(),
        /// Letters before the number of an instrument; required, different for each fleet.
        prefix: String = String::new(),
        /// Number of instruments.
        instruments: u64 = 100,
        /// Point checked; may be empty.
        point: String = String::new(),
        /// Unit of the error; may be empty.
        unit: String = String::new(),
        /// Half width of the tolerance, in the unit.
        tolerance: f64 = 1.0,
        /// Decimals written, 0 to 9.
        decimals: usize = 4,
        /// Years of record before the as-of date.
        years: f64 = 10.0,
        /// Cost of one calibration; 0 = not written.
        cost: f64 = 0.0,
        /// Cost of one year out of tolerance; 0 = not written.
        cost_out_of_tolerance: f64 = 0.0,
        /// How errors move.
        truth: TruthSettings = TruthSettings::default(),
        /// How they are read.
        reading: ReadingSettings = ReadingSettings::default(),
        /// When they are checked.
        schedule: ScheduleSettings = ScheduleSettings::default(),
        /// What is done about them.
        adjustment: AdjustmentSettings = AdjustmentSettings::default(),
        /// What goes wrong in the record; each the share of rows it happens to.
        faults: FaultSettings = FaultSettings::default(),
    }
}

crate::settings! {
    /// How errors are read, in half widths of the tolerance.
    pub struct ReadingSettings in "fleet.reading" {
        /// True standard uncertainty of a reading, one value an instrument.
        u: Distribution = 0.1.into(),
        /// Stated over true standard uncertainty: 1 honest, below 1 too small.
        stated: Distribution = 1.0.into(),
        /// Standard uncertainty shared by all readings of a history.
        u_common: f64 = 0.0,
        /// Degrees of freedom of the readings' scatter: 0 = normal, else above 2 (heavy tails).
        tail: f64 = 0.0,
        /// Share of instruments whose record states no u.
        without_u: f64 = 0.0,
        /// Share of instruments whose record keeps only in or out of tolerance.
        outcomes_only: f64 = 0.0,
    }
}

crate::settings! {
    /// When instruments are checked.
    pub struct ScheduleSettings in "fleet.schedule" {
        /// Days between checks, one value an instrument.
        interval_days: Distribution = 365.0.into(),
        /// Days late (negative: early), drawn at each check.
        late_days: Distribution = 0.0.into(),
        /// Share of checks that are missed altogether.
        missed: f64 = 0.0,
        /// Checks between two calibrations; only a calibration adjusts.
        checks_between: u64 = 0,
    }
}

/// When a calibration adjusts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Adjust {
    /// Never.
    Never,
    /// At every calibration.
    Always,
    /// When the reading passes `beyond`.
    #[default]
    Beyond,
}

crate::settings! {
    /// What a calibration does about the error it finds.
    pub struct AdjustmentSettings in "fleet.adjustment" {
        /// When to adjust: never, always or beyond.
        when: Adjust = Adjust::Beyond,
        /// Share of the tolerance beyond which a reading leads to an adjustment.
        beyond: f64 = 0.7,
        /// Standard deviation of the error an adjustment leaves, in half widths.
        residual: f64 = 0.05,
        /// Share of calibrations that reset nothing although they should.
        forgotten: f64 = 0.0,
    }
}

crate::settings! {
    /// What goes wrong in the record: the share of rows each fault happens to.
    pub struct FaultSettings in "fleet.faults" {
        /// The instrument's name is missing.
        no_instrument: f64 = 0.0,
        /// The date cannot be read.
        unreadable_date: f64 = 0.0,
        /// The number cannot be read.
        unreadable_number: f64 = 0.0,
        /// The value is 1000 times too large.
        unit_slip: f64 = 0.0,
        /// The sign is wrong.
        sign_flip: f64 = 0.0,
        /// The row is written twice.
        repeated: f64 = 0.0,
        /// The reading is wrong by `blunder_size`.
        blunder: f64 = 0.0,
        /// Size of a blunder, in half widths; its sign is as likely plus as minus.
        blunder_size: f64 = 1.0,
        /// The adjustment is not written down: neither as left nor event.
        silent_adjustment: f64 = 0.0,
    }
}
