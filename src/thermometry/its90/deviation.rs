/*! The deviation function of one thermometer in one subrange: W − W_r against W.

Metrologia 27 (1990) 3–10, Table 5. From W to T90 the function is explicit; from T90
to W it is solved by Newton, since W stands on both sides.
*/

use super::constants::{TRIPLE_POINT_K, ZERO_CELSIUS_K};
use super::fixed_points::FixedPoint;
use super::subrange::{Subrange, TERMS};
use crate::thermometry::ThermometryError;

/// How far past an end of the subrange a reading may lie, K: a reading at an end point
/// scatters about it. Ours, not the scale's.
const SLACK_K: f64 = 0.01;
/// Newton steps from T90 to W; |dΔW/dW| is about 1e-4, so that three reach rounding.
const NEWTON_STEPS: usize = 4;

/// Deviation function of one thermometer in one subrange.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Deviation {
    subrange: Subrange,
    coefficients: [f64; TERMS],
    aluminium: f64,
    /// W_r at the ends of the subrange, slack included.
    ratio_limits: (f64, f64),
}

impl Deviation {
    /// Deviation function with the coefficients in the order of
    /// `Subrange::coefficient_names`. `aluminium` is the thermometer's own W at the
    /// freezing point of aluminium; only subrange 6 needs it.
    ///
    /// # Errors
    /// Wrong number of coefficients, a coefficient that is not finite, or subrange 6
    /// without W at aluminium.
    pub fn new(
        subrange: Subrange,
        coefficients: &[f64],
        aluminium: Option<f64>,
    ) -> Result<Self, ThermometryError> {
        let names = subrange.coefficient_names();
        if coefficients.len() != names.len() || coefficients.iter().any(|c| !c.is_finite()) {
            return Err(ThermometryError::Coefficients {
                subrange: subrange.number(),
                expected: names.join(", "),
                found: coefficients.len(),
            });
        }
        let needs_aluminium = subrange.number() == 6;
        if needs_aluminium && !aluminium.is_some_and(|w| w.is_finite() && w > 1.0) {
            return Err(ThermometryError::AluminiumRatioMissing);
        }
        let mut all = [0.0; TERMS];
        all[..coefficients.len()].copy_from_slice(coefficients);
        let (low, high) = subrange.limits_k();
        let reference = subrange.reference();
        Ok(Self {
            subrange,
            coefficients: all,
            aluminium: aluminium.unwrap_or_else(|| FixedPoint::Aluminium.reference_ratio()),
            ratio_limits: (
                reference.ratio(low - SLACK_K),
                reference.ratio(high + SLACK_K),
            ),
        })
    }

    pub(crate) fn subrange(&self) -> Subrange {
        self.subrange
    }

    /// The coefficients, in the order of [`Subrange::coefficient_names`].
    pub(crate) fn coefficients(&self) -> &[f64] {
        &self.coefficients[..self.subrange.term_count()]
    }

    /// The thermometer's W at the freezing point of aluminium, where the subrange uses it.
    pub(crate) fn aluminium_ratio(&self) -> Option<f64> {
        (self.subrange.number() == 6).then_some(self.aluminium)
    }

    /// ΔW = W − W_r at `ratio`.
    pub(crate) fn at(&self, ratio: f64) -> f64 {
        dot(
            &self.coefficients,
            &self.subrange.terms(ratio, self.aluminium),
        )
    }

    /// dΔW/dW at `ratio`.
    pub(crate) fn slope(&self, ratio: f64) -> f64 {
        dot(
            &self.coefficients,
            &self.subrange.term_slopes(ratio, self.aluminium),
        )
    }

    /// True where `kelvin` lies in the subrange.
    pub(crate) fn covers(&self, kelvin: f64) -> bool {
        let (low, high) = self.subrange.limits_k();
        (low - SLACK_K..=high + SLACK_K).contains(&kelvin)
    }

    /// True where a reading of W lies in the subrange.
    pub(crate) fn covers_ratio(&self, ratio: f64) -> bool {
        let reference = ratio - self.at(ratio);
        (self.ratio_limits.0..=self.ratio_limits.1).contains(&reference)
    }

    /// T90 in K of a reading `ratio` = W.
    ///
    /// # Errors
    /// W outside the subrange, or not positive.
    pub(crate) fn temperature(&self, ratio: f64) -> Result<f64, ThermometryError> {
        let reference_ratio = ratio - self.at(ratio);
        let (low, high) = self.ratio_limits;
        if !(low..=high).contains(&reference_ratio) {
            return Err(self.outside(format!("W = {ratio}")));
        }
        Ok(self.subrange.reference().temperature(reference_ratio))
    }

    /// W of the thermometer at `kelvin`.
    ///
    /// # Errors
    /// Temperature outside the subrange.
    pub(crate) fn ratio(&self, kelvin: f64) -> Result<f64, ThermometryError> {
        if !self.covers(kelvin) {
            return Err(self.outside(format!("{} °C", kelvin - ZERO_CELSIUS_K)));
        }
        let reference_ratio = self.subrange.reference().ratio(kelvin);
        let mut ratio = reference_ratio;
        for _ in 0..NEWTON_STEPS {
            ratio -= (ratio - self.at(ratio) - reference_ratio) / (1.0 - self.slope(ratio));
        }
        Ok(ratio)
    }

    /// dW/dT of the thermometer at `kelvin`, 1/K, where its ratio is `ratio`.
    pub(crate) fn ratio_slope(&self, kelvin: f64, ratio: f64) -> f64 {
        self.subrange.reference().slope(kelvin) / (1.0 - self.slope(ratio))
    }

    fn outside(&self, what: String) -> ThermometryError {
        let (low, high) = self.subrange.limits_k();
        let celsius = |kelvin: f64| {
            if (kelvin - TRIPLE_POINT_K).abs() < 1e-9 {
                0.01
            } else {
                ((kelvin - ZERO_CELSIUS_K) * 1e4).round() / 1e4
            }
        };
        ThermometryError::OutsideSubrange {
            what,
            subrange: self.subrange.number(),
            low: celsius(low),
            high: celsius(high),
        }
    }
}

fn dot(left: &[f64; TERMS], right: &[f64; TERMS]) -> f64 {
    left.iter().zip(right).map(|(l, r)| l * r).sum()
}
