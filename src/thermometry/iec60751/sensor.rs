/*! One industrial sensor: R0 and the coefficients of its function, the standard's or its own.

Callendar–Van Dusen in the form of IEC 60751: R(t) = R0·[1 + A·t + B·t² + C·(t − 100 °C)·t³]. */

use super::function::{A, B, C, Coefficients};
use crate::thermometry::ThermometryError;

/// α = A + 100 °C·B of any platinum in use, 1/°C: film sensors of 3.75e-3 to the purest, 3.928e-3, with
/// a margin (from memory).
const ALPHA: (f64, f64) = (3.70e-3, 3.95e-3);
/// Farthest that B and C may lie from the standard's, as a factor: √10, half a power of ten (our own choice).
const NEAR: f64 = 3.1623;

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Sensor {
    /// R at 0 °C, Ω.
    pub r0_ohm: f64,
    /// Its function.
    pub coefficients: Coefficients,
}

impl Sensor {
    /// A sensor with the function of the standard.
    pub(crate) fn standard(r0_ohm: f64) -> Self {
        Self {
            r0_ohm,
            coefficients: Coefficients::STANDARD,
        }
    }

    /// One with coefficients of its own, as `a=3.9083e-3,b=-5.775e-7,c=-4.183e-12`; without c, or with 0,
    /// nothing below 0 °C is converted.
    ///
    /// # Errors
    /// Another form, or coefficients that no platinum has.
    pub(crate) fn own(r0_ohm: f64, text: &str) -> Result<Self, ThermometryError> {
        let wrong = || ThermometryError::SensorText {
            text: text.to_string(),
        };
        let mut found: [Option<f64>; 3] = [None; 3];
        for pair in text.split(',') {
            let (name, value) = pair.split_once('=').ok_or_else(wrong)?;
            let place = ["a", "b", "c"]
                .iter()
                .position(|known| *known == name.trim().to_lowercase())
                .ok_or_else(wrong)?;
            let value: f64 = value.trim().parse().map_err(|_| wrong())?;
            if found[place].replace(value).is_some() {
                return Err(wrong());
            }
        }
        let [Some(a), Some(b), c] = found else {
            return Err(wrong());
        };
        let coefficients = Coefficients {
            a,
            b,
            c: c.filter(|c| *c != 0.0),
        };
        plausible(&coefficients)?;
        Ok(Self {
            r0_ohm,
            coefficients,
        })
    }

    /// R in Ω at `celsius`.
    ///
    /// # Errors
    /// Temperature outside the range, or below 0 °C without C; R0 not positive.
    pub(crate) fn resistance(&self, celsius: f64) -> Result<f64, ThermometryError> {
        self.coefficients.resistance(celsius, self.r0_ohm)
    }

    /// dR/dt in Ω/°C. Errors as [`Self::resistance`].
    pub(crate) fn sensitivity(&self, celsius: f64) -> Result<f64, ThermometryError> {
        self.coefficients.sensitivity(celsius, self.r0_ohm)
    }

    /// t in °C at `ohm`.
    ///
    /// # Errors
    /// Resistance outside that of the range; R0 not positive.
    pub(crate) fn temperature(&self, ohm: f64) -> Result<f64, ThermometryError> {
        self.coefficients.temperature(ohm, self.r0_ohm)
    }
}

fn plausible(own: &Coefficients) -> Result<(), ThermometryError> {
    let refused = |name: &'static str, value: f64, usual: f64| {
        Err(ThermometryError::NoSensor { name, value, usual })
    };
    let alpha = own.a + 100.0 * own.b;
    let near = |value: f64, usual: f64| (1.0 / NEAR..=NEAR).contains(&(value / usual));
    if !near(own.b, B) {
        return refused("B", own.b, B);
    }
    if !(ALPHA.0..=ALPHA.1).contains(&alpha) {
        return refused("A", own.a, A);
    }
    match own.c {
        Some(c) if !near(c, C) => refused("C", c, C),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The standard's own numbers through the door of a sensor's own: R(100 °C) = 138.5055 Ω, IEC 60751.
    #[test]
    fn own_coefficients_convert_there_and_back() {
        let own = Sensor::own(100.0, "a=3.9083e-3, b=-5.775e-7, C=-4.183e-12").unwrap();
        assert_eq!(own, Sensor::standard(100.0));
        near!(own.resistance(100.0).unwrap(), 138.5055, 1e-9);
        let purer = Sensor::own(100.012, "a=3.9848e-3,b=-5.87e-7,c=-4e-12").unwrap();
        for celsius in [-150.0, -20.0, 0.0, 230.0, 600.0] {
            let there = purer.resistance(celsius).unwrap();
            near!(purer.temperature(there).unwrap(), celsius, 1e-8);
        }
        let above = Sensor::own(100.0, "a=3.9083e-3,b=-5.775e-7").unwrap();
        assert!(above.resistance(50.0).is_ok());
        let why = above.resistance(-5.0).unwrap_err().to_string();
        says!(why, "below 0 °C");
        assert!(above.temperature(98.0).is_err() && above.temperature(100.0).unwrap() == 0.0);
    }

    #[test]
    fn a_power_of_ten_is_no_platinum() {
        for (text, name) in [
            ("a=3.9083e-2,b=-5.775e-7,c=-4.183e-12", "A"),
            ("a=3.9083e-4,b=-5.775e-7,c=-4.183e-12", "A"),
            ("a=3.9083e-3,b=-5.775e-6,c=-4.183e-12", "B"),
            ("a=3.9083e-3,b=5.775e-7,c=-4.183e-12", "B"),
            ("a=3.9083e-3,b=-5.775e-7,c=-4.183e-11", "C"),
            ("a=3.9083e-3,b=-5.775e-7,c=4.183e-12", "C"),
            ("a=NaN,b=-5.775e-7", "A"),
        ] {
            let why = Sensor::own(100.0, text).unwrap_err().to_string();
            assert!(why.starts_with(&format!("{name} = ")), "{text}: {why}");
        }
        for text in [
            "a=3.9083e-3",
            "a=1,b=2,d=3",
            "3.9e-3,-5.8e-7",
            "a=3.9e-3,a=3.9e-3,b=1",
        ] {
            let why = Sensor::own(100.0, text).unwrap_err().to_string();
            says!(why, "write them as a=");
        }
    }
}
