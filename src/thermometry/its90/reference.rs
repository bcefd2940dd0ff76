/*! Reference functions of the ITS-90 and their inverses.

Equations (9a) to (10b) of the scale text (Metrologia 27 (1990) 3–10). The published
inverses (9b), (10b) agree with the functions within 0.1 mK and 0.13 mK only; they
start a Newton iteration here, so that the inverses returned are those of (9a) and
(10a) themselves to better than 1 nK. Functions of this file do not check ranges: the
callers, which know the subrange, do.
*/

use super::constants::{A, B, C, D, TRIPLE_POINT_K, ZERO_CELSIUS_K};

/// Centre and half-width of the argument of (10a), K.
const HIGH_CENTRE_K: f64 = 754.15;
const HIGH_WIDTH_K: f64 = 481.0;
/// Newton steps after the published inverse: each squares an error of 1e-7 in T.
const NEWTON_STEPS: usize = 2;

/// Which of the two reference functions a subrange uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Reference {
    /// Equation (9a): 13.8033 K to 273.16 K.
    Low,
    /// Equation (10a): 0 °C to 961.78 °C.
    High,
    /// (9a) below 273.16 K and (10a) from there on: the range around the triple point.
    Joined,
}

impl Reference {
    /// W_r at `kelvin`.
    pub(crate) fn ratio(self, kelvin: f64) -> f64 {
        match self.side(kelvin) {
            Self::Low => low_ratio(kelvin),
            _ => high_ratio(kelvin),
        }
    }

    /// dW_r/dT at `kelvin`, 1/K.
    pub(crate) fn slope(self, kelvin: f64) -> f64 {
        match self.side(kelvin) {
            Self::Low => low_slope(kelvin),
            _ => high_slope(kelvin),
        }
    }

    /// T90 in K at which W_r equals `ratio`.
    ///
    /// The two functions meet at 273.16 K with a gap of 5e-9 in W_r (1.3 µK); a ratio
    /// inside the gap is 273.16 K, so that the joined inverse never falls.
    pub(crate) fn temperature(self, ratio: f64) -> f64 {
        match self {
            Self::Low => low_temperature(ratio),
            Self::High => high_temperature(ratio),
            Self::Joined if ratio < LOW_RATIO_AT_TRIPLE_POINT => low_temperature(ratio),
            Self::Joined => high_temperature(ratio).max(TRIPLE_POINT_K),
        }
    }

    fn side(self, kelvin: f64) -> Self {
        match self {
            Self::Joined if kelvin < TRIPLE_POINT_K => Self::Low,
            Self::Joined => Self::High,
            one => one,
        }
    }
}

/// Equation (9a) at 273.16 K; the published digits leave 1e-8 to one.
const LOW_RATIO_AT_TRIPLE_POINT: f64 = 0.999_999_99;

/// Equation (9a): W_r below the triple point of water, `kelvin` in K.
pub fn low_ratio(kelvin: f64) -> f64 {
    horner(&A, low_argument(kelvin)).exp()
}

/// Derivative of (9a), 1/K.
pub(crate) fn low_slope(kelvin: f64) -> f64 {
    let (logarithm, slope) = horner_with_slope(&A, low_argument(kelvin));
    logarithm.exp() * slope / (1.5 * kelvin)
}

/// Inverse of (9a): T90 in K from W_r. NaN where `ratio` is not positive.
pub fn low_temperature(ratio: f64) -> f64 {
    let logarithm = ratio.ln();
    let mut x = low_argument(low_start((logarithm / 6.0).exp()));
    for _ in 0..NEWTON_STEPS {
        let (value, slope) = horner_with_slope(&A, x);
        x -= (value - logarithm) / slope;
    }
    TRIPLE_POINT_K * (1.5 * x - 1.5).exp()
}

/// Equation (10a): W_r from 0 °C up, `kelvin` in K.
///
/// ```
/// use driftbook::thermometry::its90::{high_ratio, high_temperature};
///
/// // Freezing point of zinc, ITS-90 text, table 1.
/// assert!((high_ratio(692.677) - 2.568_917_30).abs() < 1e-8);
/// assert!((high_temperature(high_ratio(692.677)) - 692.677).abs() < 1e-9);
/// ```
pub fn high_ratio(kelvin: f64) -> f64 {
    horner(&C, (kelvin - HIGH_CENTRE_K) / HIGH_WIDTH_K)
}

/// Derivative of (10a), 1/K.
pub(crate) fn high_slope(kelvin: f64) -> f64 {
    horner_with_slope(&C, (kelvin - HIGH_CENTRE_K) / HIGH_WIDTH_K).1 / HIGH_WIDTH_K
}

/// Equation (10b) as published: T90 in K from W_r, within 0.13 mK of (10a).
pub(crate) fn high_temperature_published(ratio: f64) -> f64 {
    ZERO_CELSIUS_K + horner(&D, (ratio - 2.64) / 1.64)
}

/// Inverse of (10a): T90 in K from W_r.
pub fn high_temperature(ratio: f64) -> f64 {
    let mut x = (high_temperature_published(ratio) - HIGH_CENTRE_K) / HIGH_WIDTH_K;
    for _ in 0..NEWTON_STEPS {
        let (value, slope) = horner_with_slope(&C, x);
        x -= (value - ratio) / slope;
    }
    HIGH_CENTRE_K + HIGH_WIDTH_K * x
}

fn low_argument(kelvin: f64) -> f64 {
    ((kelvin / TRIPLE_POINT_K).ln() + 1.5) / 1.5
}

fn low_start(sixth_root: f64) -> f64 {
    TRIPLE_POINT_K * horner(&B, (sixth_root - 0.65) / 0.35)
}

fn horner<const N: usize>(coefficients: &[f64; N], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

fn horner_with_slope<const N: usize>(coefficients: &[f64; N], x: f64) -> (f64, f64) {
    coefficients
        .iter()
        .rev()
        .fold((0.0, 0.0), |(value, slope), c| {
            (value * x + c, slope * x + value)
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::property_cases::usual;
    use crate::thermometry::its90::FixedPoint;
    use proptest::prelude::*;

    /// Table 1 of the scale text: W_r of the defining fixed points, eight decimals.
    #[test]
    fn published_ratios_of_the_fixed_points() {
        for point in FixedPoint::ALL {
            let reference = if point.kelvin() < TRIPLE_POINT_K {
                Reference::Low
            } else {
                Reference::High
            };
            let difference = reference.ratio(point.kelvin()) - point.reference_ratio();
            assert!(difference.abs() < 1e-8, "{point:?}: {difference:e}");
        }
        near!(low_ratio(TRIPLE_POINT_K), 0.999_999_99, 1e-9);
    }

    /// Evaluated independently in Python with the same published constants.
    #[test]
    fn ratios_and_slopes_between_the_fixed_points() {
        let low = [
            (-200.0, 0.169_751_89, 4.300_518_682e-3),
            (-100.0, 0.594_540_82, 4.130_014_544e-3),
            (-50.0, 0.798_986_16, 4.051_714_849e-3),
            (0.0, 0.999_960_10, 3.988_540_106e-3),
        ];
        for (celsius, ratio, slope) in low {
            near!(low_ratio(celsius + ZERO_CELSIUS_K), ratio, 1e-8);
            near!(low_slope(celsius + ZERO_CELSIUS_K), slope, 1e-12);
        }
        let high = [
            (25.0, 1.099_293_51, 3.958_173_353e-3),
            (300.0, 2.142_840_29, 3.633_796_198e-3),
            (600.0, 3.180_424_62, 3.279_454_879e-3),
            (100.0, 1.392_772_81, 3.868_160_494e-3),
            (231.928, 1.892_797_68, 3.712_721_049e-3),
            (420.0, 2.570_570_48, 3.494_815e-3),
            (419.527, 2.568_917_30, 3.495_366_727e-3),
            (660.323, 3.376_008_60, 3.204_970_769e-3),
            (900.0, 4.108_727_17, 2.912_030_084e-3),
        ];
        for (celsius, ratio, slope) in high {
            near!(high_ratio(celsius + ZERO_CELSIUS_K), ratio, 1e-8);
            near!(high_slope(celsius + ZERO_CELSIUS_K), slope, 1e-9);
        }
        near!(high_slope(TRIPLE_POINT_K), 3.988_528_485e-3, 1e-12);
        near!(low_slope(TRIPLE_POINT_K), 3.988_527_905e-3, 1e-12);
    }

    /// Published inverses at computed ratios, evaluated independently in Python.
    /// At the ends of working ranges, evaluated independently in Python.
    #[test]
    fn ratios_at_round_ends() {
        near!(high_ratio(232.0 + ZERO_CELSIUS_K), 1.893_064_99, 1e-8);
        near!(high_ratio(660.0 + ZERO_CELSIUS_K), 3.374_973_33, 1e-8);
    }

    #[test]
    fn published_inverses() {
        let high = [
            (1.118_138_892_5, 29.764_664),
            (1.892_797_680_7, 231.928_073),
            (3.376_008_599_4, 660.323_057),
            (4.286_420_527_6, 961.780_111),
        ];
        for (ratio, celsius) in high {
            let got = high_temperature_published(ratio) - ZERO_CELSIUS_K;
            near!(got, celsius, 1e-6, "{ratio}: {got}");
        }
    }

    /// The scale text states 0.13 mK for the published inverse above 0 °C; the largest
    /// difference over 200 001 points were found independently in Python.
    #[test]
    fn published_inverses_stay_within_their_stated_limits() {
        let worst = |from: f64, to: f64, inverse_error: fn(f64) -> f64| {
            (0..=200_000)
                .map(|i| inverse_error(from + (to - from) * f64::from(i) / 200_000.0).abs())
                .fold(0.0, f64::max)
        };
        let high = worst(273.15, 1234.93, |t| {
            high_temperature_published(high_ratio(t)) - t
        });
        near!(high, 0.1341e-3, 1e-6);
    }

    #[test]
    fn the_join_at_the_triple_point_never_falls() {
        let mut last = 0.0;
        for step in -20..=20 {
            let t = Reference::Joined.temperature(1.0 + f64::from(step) * 1e-9);
            assert!(t >= last);
            last = t;
        }
        let gap = high_ratio(TRIPLE_POINT_K) - low_ratio(TRIPLE_POINT_K);
        assert!(gap > 0.0 && gap < 5.4e-9);
    }

    proptest! {
        #![proptest_config(usual())]

        #[test]
        fn low_round_trip_within_a_nanokelvin(kelvin in 13.8033f64..273.16) {
            prop_assert!((low_temperature(low_ratio(kelvin)) - kelvin).abs() < 1e-9);
        }

        #[test]
        fn high_round_trip_within_a_nanokelvin(kelvin in 273.15f64..1234.93) {
            prop_assert!((high_temperature(high_ratio(kelvin)) - kelvin).abs() < 1e-9);
        }

        #[test]
        fn ratio_grows_with_temperature(kelvin in 13.8033f64..1234.9, step in 1e-6f64..0.03) {
            prop_assert!(Reference::Joined.ratio(kelvin + step) > Reference::Joined.ratio(kelvin));
        }
    }
}
