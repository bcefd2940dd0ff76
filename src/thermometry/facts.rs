/*! What is known of each thermometer beside its readings: a TOML file of the laboratory.

```toml
[[thermometer]]
instrument = "TH-101"
triple_point_ohm = 25.4796      # value in use, the first one
u_triple_point_ohm = 0.0000023  # standard uncertainty, random part
adopted = [{ on = 2025-03-07, triple_point_ohm = 25.4797, u_triple_point_ohm = 0.0000023 }]
maximum_c = 660
self_heating_mk = [0.2, 0.5]    # usual at 1 mA
subrange = [{ number = 7, a = -1.3e-4, b = -3.8e-5, c = 8.6e-6 }]
```
*/

use super::ThermometryError;
use super::certificate::{Certificate, SubrangeEntry};
use super::facts_error::{FactsError, FactsProblem};
use super::its90::{PlatinumKind, Thermometer};
use super::values::{AdoptedValue, ValueInUse};
use crate::records::date;
use serde::Deserialize;

/// All thermometers of the file.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Thermometers {
    /// One entry a thermometer.
    pub thermometer: Vec<ThermometerFacts>,
}

/// One thermometer.
#[derive(Debug, Clone, PartialEq, Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub struct ThermometerFacts {
    /// Identity, as in the readings.
    pub instrument: String,
    /// Resistance at the triple point of water in use, Ω: the first value, where others follow.
    pub triple_point_ohm: f64,
    /// Its standard uncertainty, random part, Ω.
    #[serde(default)]
    pub u_triple_point_ohm: f64,
    /// Values adopted later, oldest first.
    #[serde(default)]
    pub adopted: Vec<AdoptedValue>,
    /// Cell in which the first value was measured here, with the resistor and bridge in use;
    /// empty where a certificate from elsewhere states it.
    #[serde(default)]
    pub measured_in: String,
    /// Current at which R at the triple point is stated, mA; 0 for zero power. Where it is not
    /// stated the readings suggest it: zero power where some have two currents, else as read.
    pub current_ma: Option<f64>,
    /// True where no file states it: its values are those that its own sessions found, as they were read.
    #[serde(skip)]
    pub from_sessions: bool,
    /// What its platinum claims.
    #[serde(default)]
    pub platinum: PlatinumKind,
    /// Its own limit of adoption, mK.
    pub adopt_mk: Option<f64>,
    /// Its own limit of withdrawal, mK.
    pub withdraw_mk: Option<f64>,
    /// Its own limit on the total change since its certificate, mK.
    pub total_mk: Option<f64>,
    /// Standard uncertainty of a temperature by the coefficients of its certificate, mK.
    pub u_certificate_mk: Option<f64>,
    /// Highest temperature it may see, °C.
    pub maximum_c: Option<f64>,
    /// Usual self-heating at 1 mA, lowest and highest, mK.
    pub self_heating_mk: Option<(f64, f64)>,
    /// True where it is the check standard of the sessions.
    #[serde(default)]
    pub check_standard: bool,
    /// Deviation functions.
    #[serde(default)]
    pub subrange: Vec<SubrangeEntry>,
}

impl Thermometers {
    /// Reads the file's text.
    ///
    /// # Errors
    /// No TOML of this form, or a resistance that is not positive; names line and value.
    pub(crate) fn from_text(text: &str) -> Result<Self, FactsError> {
        let all: Self = toml::from_str(text)?;
        for one in &all.thermometer {
            one.check()?;
        }
        Ok(all)
    }

    /// The file as it was known on `day`: without values adopted later.
    pub(crate) fn known_on(&self, day: f64) -> Self {
        let mut known = self.clone();
        for one in &mut known.thermometer {
            one.adopted.retain(|value| value.on <= day);
        }
        known
    }

    pub(crate) fn of(&self, instrument: &str) -> Option<&ThermometerFacts> {
        self.thermometer.iter().find(|t| t.instrument == instrument)
    }
}

/// Highest temperature of use where neither rating nor coefficients state one, °C
/// (freezing point of zinc: the usual range of such thermometers).
const USUAL_MAXIMUM_C: f64 = 419.527;

/// Range of use where nothing is known of the thermometer, °C.
pub(crate) const USUAL_RANGE_C: (f64, f64) = (0.0, USUAL_MAXIMUM_C);

impl ThermometerFacts {
    /// A thermometer of which nothing but its value is known.
    pub(super) fn new(instrument: &str, triple_point_ohm: f64) -> Self {
        Self {
            instrument: instrument.to_string(),
            triple_point_ohm,
            ..Self::default()
        }
    }

    pub(super) fn check(&self) -> Result<(), FactsError> {
        let wrong = |what| FactsError::of(&self.instrument, what);
        let impossible = self.values().find(|value| {
            let positive = value.ohm.is_finite() && value.ohm > 0.0;
            !positive || value.u_ohm.is_nan() || value.u_ohm < 0.0
        });
        if let Some(ValueInUse { ohm, u_ohm, .. }) = impossible {
            return Err(wrong(FactsProblem::Value { ohm, u_ohm }));
        }
        let own = [
            ("adopt_mk", self.adopt_mk),
            ("withdraw_mk", self.withdraw_mk),
            ("total_mk", self.total_mk),
            ("u_certificate_mk", self.u_certificate_mk),
        ];
        let stated = own
            .into_iter()
            .filter_map(|(key, value)| Some((key, value?)));
        let mut impossible = stated.filter(|(_, value)| !(value.is_finite() && *value > 0.0));
        if let Some((key, value)) = impossible.next() {
            return Err(wrong(FactsProblem::NotPositive { key, value }));
        }
        let no_current = |ma: f64| !(ma.is_finite() && ma >= 0.0);
        if self.current_ma.is_some_and(no_current) {
            return Err(wrong(FactsProblem::Current));
        }
        if let Err(why) = self.certificate().thermometer()
            && !self.subrange.is_empty()
        {
            return Err(wrong(why.into()));
        }
        match self
            .adopted
            .windows(2)
            .find(|pair| pair[1].on <= pair[0].on)
        {
            None => Ok(()),
            Some(pair) => Err(wrong(FactsProblem::Order {
                first: date::iso(pair[0].on),
                then: date::iso(pair[1].on),
            })),
        }
    }

    /// Every value in use, the first one first.
    pub(crate) fn values(&self) -> impl Iterator<Item = ValueInUse> {
        let first = ValueInUse {
            from: f64::NEG_INFINITY,
            ohm: self.triple_point_ohm,
            u_ohm: self.u_triple_point_ohm,
        };
        let later = self.adopted.iter().map(|adopted| ValueInUse {
            from: adopted.on,
            ohm: adopted.triple_point_ohm,
            u_ohm: adopted.u_triple_point_ohm,
        });
        std::iter::once(first).chain(later)
    }

    /// The value that a reading of `day` (days since 1970-01-01) is compared with. A value is
    /// adopted after the readings of its day, which are compared with the one before it.
    pub(crate) fn value_on(&self, day: f64) -> ValueInUse {
        let first = ValueInUse {
            from: f64::NEG_INFINITY,
            ohm: self.triple_point_ohm,
            u_ohm: self.u_triple_point_ohm,
        };
        let earlier = self.values().filter(|value| value.from < day.floor());
        earlier.last().unwrap_or(first)
    }

    /// Day and value of the certificate that counts on `day`: the latest entry that one states.
    pub(crate) fn certified_on(&self, day: f64) -> ValueInUse {
        let stated = self
            .adopted
            .iter()
            .rfind(|a| a.certificate && a.on < day.floor());
        let first = self.values().next();
        let certified = stated.map(|a| ValueInUse {
            from: a.on,
            ohm: a.triple_point_ohm,
            u_ohm: a.u_triple_point_ohm,
        });
        certified.or(first).unwrap_or_else(|| self.value_on(day))
    }

    /// Cell in which the value in use on `day` was measured here; empty where it was elsewhere.
    pub(crate) fn measured_in(&self, day: f64) -> &str {
        let mut adopted = self.adopted.iter().filter(|a| a.on < day.floor());
        adopted
            .next_back()
            .map_or(&self.measured_in, |adopted| &adopted.measured_in)
    }

    /// Rise by self-heating at 1 mA and its standard uncertainty, mK: the middle and the
    /// half-width of its usual range, over √3.
    pub(crate) fn rise_mk(&self) -> Option<(f64, f64)> {
        let (low, high) = self.self_heating_mk?;
        Some(((low + high) / 2.0, (high - low).abs() / 12f64.sqrt()))
    }

    /// Range of the coefficients, up to the rating where that is lower, °C.
    pub(crate) fn range_c(&self) -> (f64, f64) {
        let rated = self.maximum_c.unwrap_or(f64::INFINITY);
        let limits = self.thermometer().map(|t| t.range_c());
        let (low, high) = limits.unwrap_or((0.0, self.maximum_c.unwrap_or(USUAL_MAXIMUM_C)));
        // Ends at fixed points come from kelvin; the table gives four decimals.
        let rounded = |celsius: f64| (celsius * 1e4).round() / 1e4;
        (rounded(low), rounded(high.min(rated)))
    }

    /// The thermometer on the ITS-90 with the latest value of R at the triple point in use.
    ///
    /// # Errors
    /// Coefficients that are missing or impossible.
    pub(crate) fn thermometer(&self) -> Result<Thermometer, ThermometryError> {
        self.certificate().thermometer()
    }

    /// Its coefficients with the latest value of R at the triple point in use.
    pub(crate) fn certificate(&self) -> Certificate {
        let value = self.value_on(f64::INFINITY);
        Certificate {
            triple_point_ohm: value.ohm,
            u_triple_point_ohm: value.u_ohm,
            u_certificate_mk: self.u_certificate_mk,
            platinum: self.platinum,
            subrange: self.subrange.clone(),
        }
    }
}

#[cfg(test)]
#[path = "facts_tests.rs"]
mod tests;
