/*! A straight line through readings: whether they still move. */

use crate::stats::LeastSquaresLine;

/// Standard errors from flat at which a slope is shown: at two, one good session in fifteen of a
/// dozen readings would count.
const SLOPE_COVERAGE: f64 = 3.0;

/// Slope of readings against time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Slope {
    /// Change per unit of time.
    pub rate: f64,
    pub standard_error: f64,
}

impl Slope {
    /// Least squares through (time, reading); `None` for fewer than three, or all of one time.
    pub(crate) fn of(points: &[(f64, f64)]) -> Option<Self> {
        let line = LeastSquaresLine::through(std::iter::once(points.iter().copied()))?;
        Some(Self {
            rate: line.slope,
            standard_error: line.u_slope(),
        })
    }

    /// True where it is both steeper than `limit` and shown.
    pub(crate) fn is_beyond(&self, limit: f64) -> bool {
        self.rate.abs() > limit && self.rate.abs() > SLOPE_COVERAGE * self.standard_error
    }
}
