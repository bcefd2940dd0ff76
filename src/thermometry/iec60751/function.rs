/*! Resistance of an industrial platinum sensor against temperature, and back.

IEC 60751:2022, the function with A, B, C (unchanged since the 1995 edition):
R(t) = R0·[1 + A·t + B·t² + C·(t − 100 °C)·t³] below 0 °C, without the C term from 0 °C.
R0 belongs to 0 °C, not to the triple point of water.
*/

use crate::thermometry::ThermometryError;

/// A, 1/°C.
pub(crate) const A: f64 = 3.9083e-3;
/// B, 1/°C².
pub(crate) const B: f64 = -5.775e-7;
/// C, 1/°C⁴.
pub(crate) const C: f64 = -4.183e-12;
/// Range of the function, °C.
pub(crate) const RANGE_C: (f64, f64) = (-200.0, 850.0);
/// How far past the range a reading may invert, °C: tables give R to 0.01 Ω, which is
/// 0.035 °C at most.
const SLACK_C: f64 = 0.05;
/// Newton steps below 0 °C; from the start within 2.5 °C four reach 1e-9 °C.
const NEWTON_STEPS: usize = 6;

/// A, B and C of one sensor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Coefficients {
    /// A, 1/°C.
    pub a: f64,
    /// B, 1/°C².
    pub b: f64,
    /// C, 1/°C⁴; `None` where it is not known, and nothing below 0 °C either.
    pub c: Option<f64>,
}

impl Coefficients {
    /// Those of the standard.
    pub(crate) const STANDARD: Self = Self {
        a: A,
        b: B,
        c: Some(C),
    };

    pub(super) fn resistance(&self, celsius: f64, r0: f64) -> Result<f64, ThermometryError> {
        positive(r0)?;
        self.in_range(celsius)?;
        Ok(r0 * self.ratio(celsius))
    }

    pub(super) fn sensitivity(&self, celsius: f64, r0: f64) -> Result<f64, ThermometryError> {
        positive(r0)?;
        self.in_range(celsius)?;
        Ok(r0 * self.ratio_slope(celsius))
    }

    pub(super) fn temperature(&self, ohm: f64, r0: f64) -> Result<f64, ThermometryError> {
        positive(r0)?;
        let ends = (self.lowest_c(), RANGE_C.1 + SLACK_C);
        let (low, high) = (r0 * self.ratio(ends.0), r0 * self.ratio(ends.1));
        if !(low..=high).contains(&ohm) {
            return Err(ThermometryError::OutsideIndustrialResistance { ohm, r0, low, high });
        }
        let (a, b, wanted) = (self.a, self.b, ohm / r0);
        let mut celsius = (-a + (a * a - 4.0 * b * (1.0 - wanted)).sqrt()) / (2.0 * b);
        if celsius < 0.0 {
            for _ in 0..NEWTON_STEPS {
                celsius -= (self.ratio(celsius) - wanted) / self.ratio_slope(celsius);
            }
        }
        // The closed form gives −0 at R0; adding zero makes it 0.
        Ok(celsius + 0.0)
    }

    /// Lowest temperature of the function, with the slack below it.
    fn lowest_c(&self) -> f64 {
        match self.c {
            Some(_) => RANGE_C.0 - SLACK_C,
            None => -SLACK_C,
        }
    }

    fn ratio(&self, t: f64) -> f64 {
        let low = match self.c {
            Some(c) if t < 0.0 => c * (t - 100.0) * t * t * t,
            _ => 0.0,
        };
        1.0 + t * (self.a + t * self.b) + low
    }

    fn ratio_slope(&self, t: f64) -> f64 {
        let low = match self.c {
            Some(c) if t < 0.0 => c * (4.0 * t - 300.0) * t * t,
            _ => 0.0,
        };
        self.a + 2.0 * self.b * t + low
    }

    fn in_range(&self, celsius: f64) -> Result<(), ThermometryError> {
        if (self.lowest_c()..=RANGE_C.1 + SLACK_C).contains(&celsius) {
            return Ok(());
        }
        Err(match self.c {
            None if celsius < 0.0 => ThermometryError::NoLowCoefficient { celsius },
            _ => ThermometryError::OutsideIndustrialRange { celsius },
        })
    }
}

fn positive(r0: f64) -> Result<(), ThermometryError> {
    if r0.is_finite() && r0 > 0.0 {
        return Ok(());
    }
    Err(ThermometryError::Resistance { ohm: r0 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::property_cases::usual;
    use proptest::prelude::*;

    /// R and dR/dt at R0 = 100 Ω: evaluated independently in Python; rounded to 0.01 Ω
    /// they are the standard's table values.
    #[test]
    fn resistances_and_sensitivities_of_the_standard() {
        let expected = [
            (-200.0, 18.520_080, 0.432_335_2),
            (-150.0, 39.723_184, 0.416_625_6),
            (-100.0, 60.255_840, 0.405_308_1),
            (-50.0, 80.306_282, 0.397_127_9),
            (0.0, 100.0, 0.390_830_0),
            (0.01, 100.003_908, 0.390_828_8),
            (100.0, 138.505_500, 0.379_280_0),
            (200.0, 175.856_000, 0.367_730_0),
            (400.0, 247.092_000, 0.344_630_0),
            (600.0, 313.708_000, 0.321_530_0),
            (850.0, 390.481_125, 0.292_655_0),
        ];
        for (celsius, ohm, slope) in expected {
            near!(
                Coefficients::STANDARD.resistance(celsius, 100.0).unwrap(),
                ohm,
                6e-7
            );
            near!(
                Coefficients::STANDARD.sensitivity(celsius, 100.0).unwrap(),
                slope,
                6e-8
            );
        }
    }

    /// Inverse at table resistances: evaluated independently in Python.
    #[test]
    fn temperatures_of_table_resistances() {
        let expected = [
            (18.52, -200.000_185),
            (60.26, -99.989_736),
            (80.31, -49.990_637),
            (138.51, 100.011_865),
            (313.71, 600.006_220),
            (390.48, 849.996_156),
        ];
        for (ohm, celsius) in expected {
            near!(
                Coefficients::STANDARD.temperature(ohm, 100.0).unwrap(),
                celsius,
                1e-6
            );
        }
    }

    #[test]
    fn outside_is_explained() {
        assert!(Coefficients::STANDARD.resistance(900.0, 100.0).is_err());
        assert!(Coefficients::STANDARD.resistance(f64::NAN, 100.0).is_err());
        says!(
            Coefficients::STANDARD
                .temperature(500.0, 100.0)
                .unwrap_err()
                .to_string(),
            "IEC 60751"
        );
        assert!(Coefficients::STANDARD.temperature(100.0, 0.0).is_err());
    }

    proptest! {
        #![proptest_config(usual())]

        #[test]
        fn round_trip_within_a_microkelvin(celsius in -200.0f64..850.0, r0 in 10.0f64..1000.0) {
            let ohm = Coefficients::STANDARD.resistance(celsius, r0).unwrap();
            prop_assert!((Coefficients::STANDARD.temperature(ohm, r0).unwrap() - celsius).abs() < 1e-8);
        }
    }
}
