/*! The reference resistor of a bridge: its value on the day, at its temperature. */

/// Reference resistor as its certificate and the readings give it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReferenceResistor {
    /// Calibrated value at the reference temperature, Ω.
    pub ohm: f64,
    /// Its standard uncertainty, Ω.
    pub u_ohm: f64,
    /// Relative change since the calibration.
    pub drift: f64,
    /// Linear temperature coefficient, 1/K.
    pub alpha: f64,
    /// Quadratic temperature coefficient, 1/K².
    pub beta: f64,
    /// Temperature of the calibration, °C.
    pub reference_c: f64,
    /// Temperature at the readings, °C; NaN where it was not noted.
    pub temperature_c: f64,
}

impl ReferenceResistor {
    /// Value at the readings, Ω; without temperature correction where it was not noted.
    pub fn value(&self) -> f64 {
        let difference = self.difference();
        self.ohm * (1.0 + self.drift) * (1.0 + difference * (self.alpha + difference * self.beta))
    }

    /// Change of the value with temperature, Ω/K.
    pub fn temperature_slope(&self) -> f64 {
        self.ohm * (self.alpha + 2.0 * self.beta * self.difference())
    }

    fn difference(&self) -> f64 {
        if self.temperature_c.is_finite() {
            self.temperature_c - self.reference_c
        } else {
            0.0
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked session evaluated independently in Python.
    #[test]
    fn value_on_the_day() {
        let resistor = ReferenceResistor {
            ohm: 100.000_213,
            u_ohm: 10e-6,
            drift: 0.05e-6,
            alpha: 1.5e-6,
            beta: -4e-8,
            reference_c: 20.0,
            temperature_c: 20.012,
        };
        assert!((resistor.value() - 100.000_219_799).abs() < 1e-9);
        let unknown = ReferenceResistor {
            temperature_c: f64::NAN,
            ..resistor
        };
        assert!((unknown.value() - 100.000_218_000).abs() < 1e-9);
    }
}
