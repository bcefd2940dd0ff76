/*! Coefficients of a deviation function from fixed-point calibration data.

The number of coefficients equals the number of calibration points of the subrange
(Metrologia 27 (1990) 3–10, Table 5), so that the function passes through the points.
The same inverse matrix gives the fixed-point sensitivity functions: how much of an
error at each point appears at any W.
*/

use super::constants::TRIPLE_POINT_SLOPE;
use super::deviation::Deviation;
use super::fixed_points::FixedPoint;
use super::subrange::Subrange;
use crate::thermometry::ThermometryError;
use nalgebra::{DMatrix, DVector};

/// One calibration point of a thermometer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct CalibrationPoint {
    /// The fixed point (for hydrogen temperatures near 17 K and 20.3 K: hydrogen).
    pub point: FixedPoint,
    /// T90 realised, K; the fixed point's own, but for the two hydrogen temperatures.
    pub kelvin: f64,
    /// W measured: R at the point over R at the triple point of water.
    pub ratio: f64,
    /// Standard uncertainty of the point without that of R at the triple point of water, mK.
    pub u_mk: f64,
}

impl CalibrationPoint {
    /// Point at its assigned temperature.
    pub(crate) fn new(point: FixedPoint, ratio: f64, u_mk: f64) -> Self {
        Self {
            point,
            kelvin: point.kelvin(),
            ratio,
            u_mk,
        }
    }

    /// W_r at the point: the published value at the assigned temperature, else (9a) or (10a).
    fn reference_ratio(&self, subrange: Subrange) -> f64 {
        if self.kelvin == self.point.kelvin() {
            self.point.reference_ratio()
        } else {
            subrange.reference().ratio(self.kelvin)
        }
    }
}

/// A calibration: the deviation function with what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Calibration {
    /// The deviation function.
    pub deviation: Deviation,
    pub(super) points: Vec<CalibrationPoint>,
    /// Inverse of the matrix of terms at the points.
    inverse: DMatrix<f64>,
}

impl Calibration {
    /// Solves for the coefficients of `subrange`. Points that the subrange does not use
    /// are ignored.
    ///
    /// # Errors
    /// A point of the subrange is missing, appears too often, has W that is not positive,
    /// or the points do not determine the coefficients.
    pub(crate) fn fit(
        subrange: Subrange,
        points: &[CalibrationPoint],
    ) -> Result<Self, ThermometryError> {
        let used = points_of(subrange, points)?;
        let aluminium = used
            .iter()
            .find(|p| p.point == FixedPoint::Aluminium)
            .map(|p| p.ratio);
        let fallback = FixedPoint::Aluminium.reference_ratio();
        let count = used.len();
        let terms: Vec<_> = used
            .iter()
            .map(|p| subrange.terms(p.ratio, aluminium.unwrap_or(fallback)))
            .collect();
        let singular = || ThermometryError::PointsDoNotDetermine {
            subrange: subrange.number(),
        };
        let inverse = DMatrix::from_fn(count, count, |row, column| terms[row][column])
            .try_inverse()
            .ok_or_else(singular)?;
        let differences = DVector::from_iterator(
            count,
            used.iter().map(|p| p.ratio - p.reference_ratio(subrange)),
        );
        let coefficients = &inverse * differences;
        let deviation = Deviation::new(subrange, coefficients.as_slice(), aluminium)?;
        Ok(Self {
            deviation,
            points: used,
            inverse,
        })
    }

    /// Share of an error in W at each calibration point that appears in ΔW at `ratio`.
    fn sensitivities(&self, ratio: f64) -> Vec<f64> {
        let subrange = self.deviation.subrange();
        let aluminium = self
            .deviation
            .aluminium_ratio()
            .unwrap_or_else(|| FixedPoint::Aluminium.reference_ratio());
        let terms = subrange.terms(ratio, aluminium);
        (0..self.points.len())
            .map(|point| {
                (0..self.points.len())
                    .map(|term| terms[term] * self.inverse[(term, point)])
                    .sum()
            })
            .collect()
    }

    /// Share of a relative error of R at the triple point of water that is left in −W_r at
    /// `ratio` when the same wrong value served in calibration and in use: W − Σ f_i·W_i.
    /// One at W = 1, zero at every calibration point.
    pub(crate) fn triple_point_sensitivity(&self, ratio: f64) -> f64 {
        let points: f64 = self
            .sensitivities(ratio)
            .iter()
            .zip(&self.points)
            .map(|(share, point)| share * point.ratio)
            .sum();
        ratio - points
    }

    /// Standard uncertainty of T90 at `kelvin` from the calibration and from R at the
    /// triple point of water, mK.
    ///
    /// `u_triple_point_calibration_mk` belongs to the value used in the calibration,
    /// `u_triple_point_now_mk` to the one that forms W now; they are taken as independent.
    ///
    /// # Errors
    /// Temperature outside the subrange.
    pub(crate) fn u_temperature_mk(
        &self,
        kelvin: f64,
        u_triple_point_calibration_mk: f64,
        u_triple_point_now_mk: f64,
    ) -> Result<f64, ThermometryError> {
        let ratio = self.deviation.ratio(kelvin)?;
        let reference = self.deviation.subrange().reference();
        let slope = reference.slope(kelvin);
        let sensitivities = self.sensitivities(ratio);
        let points: f64 = sensitivities
            .iter()
            .zip(&self.points)
            .map(|(share, point)| share * point.u_mk * reference.slope(point.kelvin) / slope)
            .map(|part| part * part)
            .sum();
        let of_calibration = ratio - self.triple_point_sensitivity(ratio);
        let parts = [
            of_calibration * TRIPLE_POINT_SLOPE / slope * u_triple_point_calibration_mk,
            ratio * TRIPLE_POINT_SLOPE / slope * u_triple_point_now_mk,
        ];
        Ok((points + parts.iter().map(|p| p * p).sum::<f64>()).sqrt())
    }
}

/// The points of the subrange by rising temperature.
fn points_of(
    subrange: Subrange,
    points: &[CalibrationPoint],
) -> Result<Vec<CalibrationPoint>, ThermometryError> {
    let wanted = subrange.calibration_points();
    for point in wanted {
        let needed = wanted.iter().filter(|p| *p == point).count();
        let found = points.iter().filter(|p| p.point == *point).count();
        if found != needed {
            return Err(ThermometryError::CalibrationPoints {
                subrange: subrange.number(),
                point: point.name(),
                needed,
                found,
            });
        }
    }
    let mut used: Vec<_> = points
        .iter()
        .filter(|p| wanted.contains(&p.point))
        .copied()
        .collect();
    if let Some(bad) = used
        .iter()
        .find(|p| !(p.ratio.is_finite() && p.ratio > 0.0))
    {
        return Err(ThermometryError::Ratio { ratio: bad.ratio });
    }
    used.sort_by(|left, right| left.kelvin.total_cmp(&right.kelvin));
    Ok(used)
}
