/*! What is known of each thermometer beside its readings: a TOML file of the laboratory.

```toml
[[thermometer]]
instrument = "TH-101"
triple_point_ohm = 25.4796      # value in use, the first one
u_triple_point_ohm = 0.0000023  # standard uncertainty, random part
adopted = [{ on = 2025-03-07, triple_point_ohm = 25.4797, u_triple_point_ohm = 0.0000023 }]
maximum_c = 660
self_heating_mk = [0.2, 0.5]    # usual at the first current
subrange = [{ number = 7, a = -1.3e-4, b = -3.8e-5, c = 8.6e-6 }]
```
*/

use super::ThermometryError;
use super::certificate::{Certificate, SubrangeEntry};
use super::its90::Thermometer;
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
#[derive(Debug, Clone, PartialEq, Deserialize)]
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
    /// Highest temperature it may see, °C.
    #[serde(default)]
    pub maximum_c: Option<f64>,
    /// Usual self-heating at the first current, lowest and highest, mK.
    #[serde(default)]
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
    pub fn from_text(text: &str) -> Result<Self, String> {
        let all: Self = toml::from_str(text).map_err(|e| e.to_string())?;
        for one in &all.thermometer {
            one.check()?;
        }
        Ok(all)
    }

    /// The file as it was known on `day`: without values adopted later.
    pub fn known_on(&self, day: f64) -> Self {
        let mut known = self.clone();
        for one in &mut known.thermometer {
            one.adopted.retain(|value| value.on <= day);
        }
        known
    }

    /// Facts of `instrument`.
    pub fn of(&self, instrument: &str) -> Option<&ThermometerFacts> {
        self.thermometer.iter().find(|t| t.instrument == instrument)
    }
}

/// Highest temperature of use where neither rating nor coefficients state one, °C
/// (freezing point of zinc: the usual range of such thermometers).
const USUAL_MAXIMUM_C: f64 = 419.527;

/// Range of use where nothing is known of the thermometer, °C.
pub const USUAL_RANGE_C: (f64, f64) = (0.0, USUAL_MAXIMUM_C);

impl ThermometerFacts {
    fn check(&self) -> Result<(), String> {
        for value in self.values() {
            let positive = value.ohm.is_finite() && value.ohm > 0.0;
            if !positive || value.u_ohm.is_nan() || value.u_ohm < 0.0 {
                return Err(format!(
                    "{}: triple_point_ohm = {} and u_triple_point_ohm = {}; expected a positive \
                     and a not negative number",
                    self.instrument, value.ohm, value.u_ohm
                ));
            }
        }
        let later = self
            .adopted
            .windows(2)
            .find(|pair| pair[1].on <= pair[0].on);
        later.map_or(Ok(()), |pair| {
            Err(format!(
                "{}: the value adopted on {} stands after the one of {}; list them oldest first, one a day",
                self.instrument,
                date::iso(pair[1].on),
                date::iso(pair[0].on)
            ))
        })
    }

    /// Every value in use, the first one first.
    pub fn values(&self) -> impl Iterator<Item = ValueInUse> {
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
    pub fn value_on(&self, day: f64) -> ValueInUse {
        let first = ValueInUse {
            from: f64::NEG_INFINITY,
            ohm: self.triple_point_ohm,
            u_ohm: self.u_triple_point_ohm,
        };
        let earlier = self.values().filter(|value| value.from < day.floor());
        earlier.last().unwrap_or(first)
    }

    /// Range of the coefficients, up to the rating where that is lower, °C.
    pub fn range_c(&self) -> (f64, f64) {
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
    pub fn thermometer(&self) -> Result<Thermometer, ThermometryError> {
        Certificate {
            triple_point_ohm: self.value_on(f64::INFINITY).ohm,
            subrange: self.subrange.clone(),
        }
        .thermometer()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_the_form_of_the_docs() {
        let text = "[[thermometer]]\ninstrument = \"TH-101\"\ntriple_point_ohm = 25.4796\n\
            maximum_c = 660\nself_heating_mk = [0.2, 0.5]\n\
            subrange = [{ number = 8, a = -1.43e-4, b = -1.7e-5 }]\n";
        let all = Thermometers::from_text(text).unwrap();
        let one = all.of("TH-101").unwrap();
        assert_eq!(one.thermometer().unwrap().deviations().len(), 1);
        assert!(all.of("TH-102").is_none());
        assert!(
            Thermometers::from_text("[[thermometer]]\ninstrument = \"a\"\ntriple_point_ohm = -1\n")
                .is_err()
        );
    }

    fn adopted(list: &str) -> Result<ThermometerFacts, String> {
        let head = "[[thermometer]]\ninstrument = \"TH-101\"\ntriple_point_ohm = 25.4796\n";
        let all = Thermometers::from_text(&format!("{head}adopted = [{list}]\n"))?;
        Ok(all.thermometer[0].clone())
    }

    /// 2025-03-07 is day 20154 since 1970-01-01 (by the calendar).
    #[test]
    fn a_value_serves_from_the_day_after_its_adoption() {
        let facts = adopted(
            "{ on = 2025-03-07, triple_point_ohm = 25.4797, u_triple_point_ohm = 2e-6 }, \
             { on = \"2026-01-01\", triple_point_ohm = 25.4798 }",
        )
        .unwrap();
        let ohm = |day: f64| facts.value_on(day).ohm;
        assert_eq!(
            [ohm(0.0), ohm(20_154.4), ohm(20_155.0)],
            [25.4796, 25.4796, 25.4797]
        );
        assert_eq!((ohm(30_000.0), facts.values().count()), (25.4798, 3));
        let certificate = facts.thermometer();
        assert!(certificate.is_err(), "no coefficients are stated");
    }

    #[test]
    fn adopted_values_that_cannot_be_are_named() {
        let error = |list: &str| adopted(list).unwrap_err();
        let wrong = error("{ on = 2025-03-07, triple_point_ohm = 0 }");
        assert!(wrong.contains("TH-101: triple_point_ohm = 0"), "{wrong}");
        let wrong = error("{ on = \"March\", triple_point_ohm = 25.4797 }");
        assert!(wrong.contains("\"March\" is no date"), "{wrong}");
        let two = "{ on = 2025-03-07, triple_point_ohm = 25.4797 }, { on = 2025-03-07, triple_point_ohm = 25.4798 }";
        assert!(error(two).contains("oldest first"));
    }
}
