/*! The reference resistor of a bridge: its value on the day, at its temperature. */

/// Temperature to which certificates of resistors usually refer, °C (common practice, no source).
const USUAL_REFERENCE_C: f64 = 20.0;

/// Reference resistor as its certificate and the readings give it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ReferenceResistor {
    /// Calibrated value at the reference temperature, Ω.
    pub ohm: f64,
    /// Its standard uncertainty, Ω.
    pub u_ohm: f64,
    /// Relative change since the calibration; NaN where not stated.
    pub drift: f64,
    /// Linear temperature coefficient, 1/K; NaN where not stated.
    pub alpha: f64,
    /// Quadratic temperature coefficient, 1/K²; NaN where not stated.
    pub beta: f64,
    /// Temperature of the calibration, °C; NaN where not stated.
    pub reference_c: f64,
    /// Temperature at the readings, °C; NaN where it was not noted.
    pub temperature_c: f64,
}

impl ReferenceResistor {
    /// Value at the readings, Ω; without temperature correction where it was not noted.
    pub(crate) fn value(&self) -> f64 {
        let difference = self.difference();
        let (alpha, beta) = (or_none(self.alpha), or_none(self.beta));
        self.ohm * (1.0 + or_none(self.drift)) * (1.0 + difference * (alpha + difference * beta))
    }

    /// Change of the value with temperature, Ω/K.
    pub(crate) fn temperature_slope(&self) -> f64 {
        self.ohm * (or_none(self.alpha) + 2.0 * or_none(self.beta) * self.difference())
    }

    /// Temperature of the calibration, with the usual one where none is stated, °C.
    pub(crate) fn known_reference_c(&self) -> f64 {
        match self.reference_c.is_finite() {
            true => self.reference_c,
            false => USUAL_REFERENCE_C,
        }
    }

    /// What is stated here or, where it is not, in `other`.
    pub(crate) fn or(self, other: Self) -> Self {
        let or = |own: f64, other: f64| if own.is_finite() { own } else { other };
        Self {
            ohm: or(self.ohm, other.ohm),
            u_ohm: or(self.u_ohm, other.u_ohm),
            drift: or(self.drift, other.drift),
            alpha: or(self.alpha, other.alpha),
            beta: or(self.beta, other.beta),
            reference_c: or(self.reference_c, other.reference_c),
            temperature_c: or(self.temperature_c, other.temperature_c),
        }
    }

    /// Two values of its certificate that are both stated here and in `other`, and differ.
    pub(crate) fn contradicts(&self, other: &Self) -> Option<(f64, f64)> {
        let pairs = [
            (self.ohm, other.ohm),
            (self.u_ohm, other.u_ohm),
            (self.drift, other.drift),
            (self.alpha, other.alpha),
            (self.beta, other.beta),
            (self.reference_c, other.reference_c),
        ];
        pairs
            .into_iter()
            .find(|(a, b)| a.is_finite() && b.is_finite() && a != b)
    }

    fn difference(&self) -> f64 {
        match self.temperature_c.is_finite() {
            true => self.temperature_c - self.known_reference_c(),
            false => 0.0,
        }
    }
}

/// No correction by what is not stated.
fn or_none(value: f64) -> f64 {
    if value.is_finite() { value } else { 0.0 }
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
        near!(resistor.value(), 100.000_219_799, 1e-9);
        let unknown = ReferenceResistor {
            temperature_c: f64::NAN,
            ..resistor
        };
        near!(unknown.value(), 100.000_218_000, 1e-9);
        let without = ReferenceResistor {
            alpha: f64::NAN,
            beta: 0.0,
            reference_c: f64::NAN,
            ..resistor
        };
        assert_eq!(without.value(), unknown.value());
    }
}
