/*! One reference thermometer on the ITS-90: R at the triple point of water and its
deviation functions, between resistance, ratio and temperature. */

use super::constants::{TRIPLE_POINT_K, ZERO_CELSIUS_K};
use super::deviation::Deviation;
use crate::thermometry::ThermometryError;

/// A platinum thermometer as calibrated.
#[derive(Debug, Clone, PartialEq)]
pub struct Thermometer {
    /// Resistance at the triple point of water, Ω.
    triple_point_ohm: f64,
    deviations: Vec<Deviation>,
}

/// One state of a thermometer with its sensitivity.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct State {
    /// Resistance, Ω.
    pub resistance_ohm: f64,
    /// W = R / R at the triple point of water.
    pub ratio: f64,
    /// T90, K.
    pub kelvin: f64,
    /// dW/dT, 1/K.
    pub ratio_slope: f64,
    /// dR/dT, Ω/K.
    pub resistance_slope: f64,
    /// Subrange whose deviation function was used.
    pub subrange: u8,
}

impl Thermometer {
    /// Thermometer with resistance `triple_point_ohm` in Ω at 273.16 K and at least one
    /// deviation function; where two cover a temperature, the first one listed is used.
    ///
    /// # Errors
    /// Resistance not positive, or no deviation function.
    pub fn new(
        triple_point_ohm: f64,
        deviations: Vec<Deviation>,
    ) -> Result<Self, ThermometryError> {
        if !(triple_point_ohm.is_finite() && triple_point_ohm > 0.0) {
            return Err(ThermometryError::Resistance {
                ohm: triple_point_ohm,
            });
        }
        if deviations.is_empty() {
            return Err(ThermometryError::NoDeviation);
        }
        Ok(Self {
            triple_point_ohm,
            deviations,
        })
    }

    /// The deviation functions.
    pub(crate) fn deviations(&self) -> &[Deviation] {
        &self.deviations
    }

    /// Lowest and highest temperature of its deviation functions, °C.
    pub(crate) fn range_c(&self) -> (f64, f64) {
        let limits = self.deviations.iter().map(|d| d.subrange().limits_k());
        let (low, high) = limits.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), (a, b)| {
            (l.min(a), h.max(b))
        });
        (low - ZERO_CELSIUS_K, high - ZERO_CELSIUS_K)
    }

    /// State at a resistance in Ω. Errors as `Self::at_ratio`.
    pub fn at_resistance(&self, ohm: f64) -> Result<State, ThermometryError> {
        if !(ohm.is_finite() && ohm > 0.0) {
            return Err(ThermometryError::Resistance { ohm });
        }
        self.at_ratio(ohm / self.triple_point_ohm)
    }

    /// State at a ratio W.
    ///
    /// # Errors
    /// W not positive, or outside every subrange of the thermometer.
    pub(crate) fn at_ratio(&self, ratio: f64) -> Result<State, ThermometryError> {
        if !(ratio.is_finite() && ratio > 0.0) {
            return Err(ThermometryError::Ratio { ratio });
        }
        let deviation = self.choose(|d| d.covers_ratio(ratio), ratio < 1.0);
        let kelvin = deviation.temperature(ratio)?;
        Ok(self.state(deviation, kelvin, ratio))
    }

    /// State at a temperature T90 in K.
    ///
    /// # Errors
    /// Temperature outside every subrange of the thermometer.
    pub fn at_temperature(&self, kelvin: f64) -> Result<State, ThermometryError> {
        let deviation = self.choose(|d| d.covers(kelvin), kelvin < TRIPLE_POINT_K);
        let ratio = deviation.ratio(kelvin)?;
        Ok(self.state(deviation, kelvin, ratio))
    }

    /// First deviation that covers; else the one on the same side of the triple point, so
    /// that the error names the range a reader expects.
    fn choose(&self, covers: impl Fn(&Deviation) -> bool, below: bool) -> &Deviation {
        let same_side = |d: &&Deviation| {
            let (low, high) = d.subrange().limits_k();
            if below {
                low < TRIPLE_POINT_K - 1.0
            } else {
                high > TRIPLE_POINT_K
            }
        };
        self.deviations
            .iter()
            .find(|d| covers(d))
            .or_else(|| self.deviations.iter().find(same_side))
            .unwrap_or(&self.deviations[0])
    }

    fn state(&self, deviation: &Deviation, kelvin: f64, ratio: f64) -> State {
        let ratio_slope = deviation.ratio_slope(kelvin, ratio);
        State {
            resistance_ohm: ratio * self.triple_point_ohm,
            ratio,
            kelvin,
            ratio_slope,
            resistance_slope: ratio_slope * self.triple_point_ohm,
            subrange: deviation.subrange().number(),
        }
    }
}
