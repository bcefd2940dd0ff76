/*! The demo laboratory as it is written down: kinds of instrument, who lives through what, spoilt rows. */

use super::member::Member;
use super::thermometry::Thermometer;
use serde::{Deserialize, Deserializer, de};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// The invented laboratory, as it was when the program was built.
const FILE: &str = include_str!("../../../data/demo-laboratory.toml");

/// The kinds of instrument by name; read first, since members refer to them.
#[derive(Debug, Default, Deserialize)]
struct Kinds {
    kinds: BTreeMap<String, Kind>,
}

/// Who is there, and what befalls their records.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Laboratory {
    /// Instruments and check standards, in the register's order.
    pub instruments: Vec<Member>,
    /// Thermometers with raw readings.
    pub thermometers: Vec<Thermometer>,
    pub faults: Vec<Fault>,
}

// A test counts what is in the file, so that what is built has it.
static KINDS: LazyLock<Kinds> = LazyLock::new(|| toml::from_str(FILE).unwrap_or_default());
pub(super) static LABORATORY: LazyLock<Laboratory> =
    LazyLock::new(|| toml::from_str(FILE).unwrap_or_default());

/// What the instruments of one kind share.
#[derive(Debug, Deserialize)]
pub(super) struct Kind {
    /// Letters before the number of an instrument.
    pub prefix: String,
    /// Export the kind's checks go to.
    pub file: String,
    /// Group in the register.
    pub group: String,
    /// Points checked.
    pub points: Vec<String>,
    /// Unit of the error.
    pub unit: String,
    /// Symmetric tolerance, in the unit.
    pub tolerance: f64,
    /// Standard uncertainty of a reading, random part.
    pub u: f64,
    /// Standard uncertainty all readings share.
    pub u_common: f64,
    /// Standard deviation of drift across instruments, unit per year.
    pub drift: f64,
    /// Wander, unit per √year.
    pub wander: f64,
    /// Decimals written.
    pub decimals: usize,
    /// Cycles of use per year; 0 where use is not counted.
    pub use_per_year: f64,
    /// What one calibration costs.
    pub cost: f64,
    /// Description in the register.
    pub description: String,
}

impl Kind {
    /// The kind that an instrument names.
    pub(super) fn named<'de, D: Deserializer<'de>>(name: D) -> Result<&'static Kind, D::Error> {
        let name = String::deserialize(name)?;
        let kind = KINDS.kinds.get(&name);
        kind.ok_or_else(|| de::Error::custom(format!("no kind {name:?}")))
    }
}

/// A row that cannot be used: the export it goes to, after which line, and the row.
#[derive(Debug, Deserialize)]
pub(super) struct Fault {
    pub file: String,
    pub after_line: usize,
    pub row: String,
}
