/*! A straight line through readings: whether they still move. */

/// Standard errors from flat at which a slope is shown: at two, one good session in fifteen of a
/// dozen readings would count.
const SLOPE_COVERAGE: f64 = 3.0;

/// Slope of readings against time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slope {
    /// Change per unit of time.
    pub rate: f64,
    /// Its standard error.
    pub standard_error: f64,
}

impl Slope {
    /// Least squares through (time, reading); `None` for fewer than three, or all of one time.
    pub fn of(points: &[(f64, f64)]) -> Option<Self> {
        let n = points.len() as f64;
        let (mean_x, mean_y) = (
            points.iter().map(|p| p.0).sum::<f64>() / n,
            points.iter().map(|p| p.1).sum::<f64>() / n,
        );
        let xx: f64 = points.iter().map(|p| (p.0 - mean_x).powi(2)).sum();
        let xy: f64 = points.iter().map(|p| (p.0 - mean_x) * (p.1 - mean_y)).sum();
        if points.len() < 3 || xx <= 0.0 {
            return None;
        }
        let rate = xy / xx;
        let residual: f64 = points
            .iter()
            .map(|p| (p.1 - mean_y - rate * (p.0 - mean_x)).powi(2))
            .sum();
        Some(Self {
            rate,
            standard_error: (residual / (n - 2.0) / xx).sqrt(),
        })
    }

    /// True where it is both steeper than `limit` and shown.
    pub fn is_beyond(&self, limit: f64) -> bool {
        self.rate.abs() > limit && self.rate.abs() > SLOPE_COVERAGE * self.standard_error
    }
}
