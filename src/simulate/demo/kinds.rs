/*! The kinds of instrument of the demo, read before its instruments, which name them. */

use serde::{Deserialize, Deserializer, de};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// The invented laboratory, as it was when the program was built.
pub(super) const FILE: &str = include_str!("../../../data/demo-laboratory.toml");

static KINDS: LazyLock<Kinds> = LazyLock::new(|| toml::from_str(FILE).unwrap_or_default());

/// The kinds by name.
#[derive(Debug, Default, Deserialize)]
struct Kinds {
    kinds: BTreeMap<String, Kind>,
}

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
