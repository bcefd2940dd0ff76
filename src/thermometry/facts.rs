/*! What is known of each thermometer beside its readings: a TOML file of the laboratory.

```toml
[[thermometer]]
instrument = "TH-101"
triple_point_ohm = 25.4796      # value in use
u_triple_point_ohm = 0.0000023  # standard uncertainty, random part
maximum_c = 660
self_heating_mk = [0.2, 0.5]    # usual at the first current
subrange = [{ number = 7, a = -1.3e-4, b = -3.8e-5, c = 8.6e-6 }]
```
*/

use super::ThermometryError;
use super::certificate::{Certificate, SubrangeEntry};
use super::its90::{TRIPLE_POINT_SLOPE, Thermometer};
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
    /// Resistance at the triple point of water in use, Ω.
    pub triple_point_ohm: f64,
    /// Its standard uncertainty, random part, Ω.
    #[serde(default)]
    pub u_triple_point_ohm: f64,
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
            let positive = one.triple_point_ohm.is_finite() && one.triple_point_ohm > 0.0;
            if !positive || one.u_triple_point_ohm.is_nan() || one.u_triple_point_ohm < 0.0 {
                return Err(format!(
                    "{}: triple_point_ohm = {} and u_triple_point_ohm = {}; expected a positive \
                     and a not negative number",
                    one.instrument, one.triple_point_ohm, one.u_triple_point_ohm
                ));
            }
        }
        Ok(all)
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
    /// Standard uncertainty of the value in use at the triple point, mK.
    pub fn u_triple_point_mk(&self) -> f64 {
        1000.0 * self.u_triple_point_ohm / (self.triple_point_ohm * TRIPLE_POINT_SLOPE)
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

    /// The thermometer on the ITS-90 with the value of R at the triple point in use.
    ///
    /// # Errors
    /// Coefficients that are missing or impossible.
    pub fn thermometer(&self) -> Result<Thermometer, ThermometryError> {
        Certificate {
            triple_point_ohm: self.triple_point_ohm,
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
}
