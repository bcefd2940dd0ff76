/*! Values of R at the triple point of water that a laboratory carries, one after the other. */

use super::its90::TRIPLE_POINT_SLOPE;
use crate::records::date;
use chrono::NaiveDate;
use serde::{Deserialize, Deserializer};

/// A value adopted in place of the one before it, as the file of the thermometers states it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AdoptedValue {
    /// Day of the adoption, days since 1970-01-01: in use from the next day on.
    #[serde(deserialize_with = "day")]
    pub on: f64,
    /// Resistance at the triple point of water, Ω.
    pub triple_point_ohm: f64,
    /// Its standard uncertainty, random part, Ω.
    #[serde(default)]
    pub u_triple_point_ohm: f64,
    /// True where a new certificate states it: total change and W count from here.
    #[serde(default)]
    pub certificate: bool,
    /// Cell in which it was measured here, with the resistor and bridge in use; empty where it
    /// comes from elsewhere.
    #[serde(default)]
    pub measured_in: String,
}

/// A value in use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValueInUse {
    /// Day of its adoption, days since 1970-01-01; −∞ for the first one.
    pub from: f64,
    /// Resistance at the triple point of water, Ω.
    pub ohm: f64,
    /// Its standard uncertainty, random part, Ω.
    pub u_ohm: f64,
}

impl ValueInUse {
    /// Its standard uncertainty as temperature at the triple point, mK.
    pub(crate) fn u_mk(&self) -> f64 {
        1000.0 * self.u_ohm / (self.ohm * TRIPLE_POINT_SLOPE)
    }

    /// True for the very same value; the day of its adoption is of no account.
    pub(crate) fn is(&self, other: &Self) -> bool {
        self.ohm == other.ohm && self.u_ohm == other.u_ohm
    }
}

/// A date of TOML, or its text in quotation marks.
fn day<'de, D: Deserializer<'de>>(source: D) -> Result<f64, D::Error> {
    let stated = toml::Value::deserialize(source)?;
    let text = stated.as_str().map_or(stated.to_string(), String::from);
    let day = NaiveDate::parse_from_str(&text, "%Y-%m-%d");
    day.map(date::days_of).map_err(|_| {
        serde::de::Error::custom(format!("{text:?} is no date; write it as 2025-03-07"))
    })
}
