/*! Centre and deviation from a base period of individual values.

Source: e-Handbook 6.3.2.2. d₂ = 2/√π and d₃ = √(2 − 4/π) are the mean and the standard
deviation of the range of two standard normal values; tables round d₂ to 1.128.
*/

use super::settings::Deviation;

/// Mean range of two standard normal values, 2/√π.
const MOVING_RANGE_D2: f64 = std::f64::consts::FRAC_2_SQRT_PI;
/// Standard deviation of that range, √(2 − 4/π).
const MOVING_RANGE_D3: f64 = 0.852_502_466_427_421_7;

/// What the base period gives; unit of the values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Baseline {
    /// Number of values.
    pub values: usize,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation (n − 1).
    pub standard_deviation: f64,
    /// Mean of the absolute differences of neighbours.
    pub mean_moving_range: f64,
}

impl Baseline {
    /// The deviation of the limits.
    pub(crate) fn deviation(&self, kind: Deviation) -> f64 {
        match kind {
            Deviation::MovingRange => self.mean_moving_range / MOVING_RANGE_D2,
            Deviation::Standard => self.standard_deviation,
            // Without repeated readings their scatter is not known.
            Deviation::Range | Deviation::Within => f64::NAN,
        }
    }

    /// Upper limit of a moving range at three deviations.
    pub(crate) fn moving_range_upper(&self) -> f64 {
        self.mean_moving_range * (1.0 + 3.0 * MOVING_RANGE_D3 / MOVING_RANGE_D2)
    }
}

/// Figures of a base period; NaN where it has too few values for them.
pub(crate) fn baseline(values: &[f64]) -> Baseline {
    let n = values.len() as f64;
    // Counted from the first of them, so that values that do not differ have no scatter by rounding.
    let origin = values.first().copied().unwrap_or_default();
    let moved = values.iter().map(|v| v - origin).sum::<f64>() / n;
    let mean = origin + moved;
    let squares: f64 = values.iter().map(|v| (v - origin - moved).powi(2)).sum();
    let ranges: f64 = values
        .windows(2)
        .map(|pair| (pair[1] - pair[0]).abs())
        .sum();
    Baseline {
        values: values.len(),
        mean,
        standard_deviation: (squares / (n - 1.0)).sqrt(),
        mean_moving_range: ranges / (n - 1.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The mean of 26 equal values is not always that value to the last digit.
    #[test]
    fn equal_values_have_no_scatter() {
        for value in [0.1, 23.4567, -6.74613e-3, 1e9 / 3.0] {
            for n in 2..40 {
                assert_eq!(
                    baseline(&vec![value; n]).standard_deviation,
                    0.0,
                    "{value} {n}"
                );
            }
        }
    }

    #[test]
    fn constants() {
        let d3 = (2.0 - 4.0 / std::f64::consts::PI).sqrt();
        near!(MOVING_RANGE_D3, d3, 1e-15);
        near!(MOVING_RANGE_D2.powi(2) * std::f64::consts::PI, 4.0, 1e-14);
    }
}
