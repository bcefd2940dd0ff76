/*! Calibration curve of a direct-reading thermometer: corrections on a straight line.

The example of JCGM 100:2008 (GUM), annex H.3: b(t) = y_1 + y_2·(t − t_0), with the
covariance of y_1 and y_2, without which u[b(t)] is wrong.
*/

use super::ThermometryError;

/// A fitted correction line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct CorrectionLine {
    /// t_0, °C.
    pub origin_c: f64,
    /// y_1: correction at t_0, °C.
    pub intercept: f64,
    /// y_2: change of the correction per °C.
    pub slope: f64,
    /// s(y_1), °C.
    pub u_intercept: f64,
    /// s(y_2), per °C.
    pub u_slope: f64,
    /// r(y_1, y_2).
    pub correlation: f64,
    /// s, °C.
    pub residual_deviation: f64,
    /// n − 2.
    pub degrees_of_freedom: f64,
    /// Lowest and highest temperature of the data, °C.
    pub range_c: (f64, f64),
}

/// A correction at one temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Correction {
    /// b(t), °C.
    pub value: f64,
    /// Its standard uncertainty, °C.
    pub u: f64,
    /// True where t lies outside the calibrated temperatures.
    pub extrapolated: bool,
}

/// Fits corrections `(t, b)` in °C by least squares about `origin_c`.
///
/// # Errors
/// Fewer than three points, a value that is not finite, or all temperatures equal.
pub(crate) fn correction_line(
    points: &[(f64, f64)],
    origin_c: f64,
) -> Result<CorrectionLine, ThermometryError> {
    let finite = points.iter().all(|(t, b)| t.is_finite() && b.is_finite());
    let n = points.len() as f64;
    let sum = |of: &dyn Fn(f64, f64) -> f64| -> f64 {
        points.iter().map(|(t, b)| of(t - origin_c, *b)).sum()
    };
    let (x, xx) = (sum(&|t, _| t), sum(&|t, _| t * t));
    let (b, bx) = (sum(&|_, b| b), sum(&|t, b| t * b));
    let determinant = n * xx - x * x;
    if points.len() < 3 || !finite || determinant <= f64::EPSILON * n * xx {
        return Err(ThermometryError::CorrectionPoints {
            count: points.len(),
        });
    }
    let intercept = (b * xx - bx * x) / determinant;
    let slope = (n * bx - b * x) / determinant;
    let residual = sum(&|t, b| (b - intercept - slope * t).powi(2));
    let variance = residual / (n - 2.0);
    let ends = points
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), (t, _)| {
            (l.min(*t), h.max(*t))
        });
    Ok(CorrectionLine {
        origin_c,
        intercept,
        slope,
        u_intercept: (variance * xx / determinant).sqrt(),
        u_slope: (variance * n / determinant).sqrt(),
        correlation: -x / (n * xx).sqrt(),
        residual_deviation: variance.sqrt(),
        degrees_of_freedom: n - 2.0,
        range_c: ends,
    })
}

impl CorrectionLine {
    pub(crate) fn at(&self, celsius: f64) -> Correction {
        let t = celsius - self.origin_c;
        let covariance = 2.0 * t * self.u_intercept * self.u_slope * self.correlation;
        let variance = self.u_intercept.powi(2) + (t * self.u_slope).powi(2) + covariance;
        Correction {
            value: self.intercept + self.slope * t,
            u: variance.max(0.0).sqrt(),
            extrapolated: !(self.range_c.0..=self.range_c.1).contains(&celsius),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100:2008, Table H.6.
    const DATA: [(f64, f64); 11] = [
        (21.521, -0.171),
        (22.012, -0.169),
        (22.512, -0.166),
        (23.003, -0.159),
        (23.507, -0.164),
        (23.999, -0.165),
        (24.513, -0.156),
        (25.002, -0.157),
        (25.503, -0.159),
        (26.010, -0.161),
        (26.511, -0.160),
    ];

    /// Published to 4, 2, 3, 2 and 3 digits in H.3; further digits computed independently.
    #[test]
    fn the_guides_example() {
        let line = correction_line(&DATA, 20.0).unwrap();
        assert!((line.intercept + 0.171_203_790).abs() < 1e-9);
        near!(line.u_intercept, 0.002_877_598, 1e-9);
        near!(line.slope, 0.002_182_697_740, 1e-11);
        near!(line.u_slope, 0.000_667_938_773, 1e-11);
        assert!((line.correlation + 0.930_429_603).abs() < 1e-9);
        near!(line.residual_deviation, 0.003_497_563_964, 1e-11);
        let at_30 = line.at(30.0);
        assert!((at_30.value + 0.149_376_813).abs() < 1e-9);
        near!(at_30.u, 0.004_138_596, 1e-9);
        assert!(at_30.extrapolated && !line.at(25.0).extrapolated);
    }

    #[test]
    fn the_origin_is_of_no_account() {
        let mean = DATA.iter().map(|(t, _)| t).sum::<f64>() / 11.0;
        let line = correction_line(&DATA, mean).unwrap();
        assert!((line.intercept + 0.162_454_545).abs() < 1e-9);
        near!(line.u_intercept, 0.001_054_555, 1e-9);
        assert!(line.correlation.abs() < 1e-9);
        let at_30 = line.at(30.0);
        assert!((at_30.value + 0.149_376_813).abs() < 1e-9);
        near!(at_30.u, 0.004_138_596, 1e-9);
    }

    #[test]
    fn too_little_is_refused() {
        assert!(correction_line(&DATA[..2], 20.0).is_err());
        assert!(correction_line(&[(20.0, 0.1); 5], 20.0).is_err());
    }
}
