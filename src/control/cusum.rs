/*! Tabular cumulative sums: find a shift of known size soonest.

S⁺ = max(0, S⁺ + z − k) and S⁻ = max(0, S⁻ − z − k) of the values in deviations from the
centre; no reset after a signal. Source: e-Handbook 6.3.2.3.
*/

/// Both sums after one value, in deviations.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CusumPoint {
    /// Evidence of a shift upwards.
    pub upper: f64,
    /// Evidence of a shift downwards.
    pub lower: f64,
}

/// The sums over `values` in deviations about `centre` with allowance `allowance`.
pub fn cusum(values: &[f64], centre: f64, deviation: f64, allowance: f64) -> Vec<CusumPoint> {
    let mut sums = CusumPoint::default();
    let point = |value: &f64| {
        let z = (value - centre) / deviation;
        sums.upper = (sums.upper + z - allowance).max(0.0);
        sums.lower = (sums.lower - z - allowance).max(0.0);
        sums
    };
    values.iter().map(point).collect()
}

/// Mean number of values to a signal of the two-sided chart at a lasting shift of `shift`
/// deviations. D. Siegmund's approximation (Sequential Analysis, 1985), formula from memory.
pub fn average_run_length(shift: f64, allowance: f64, limit: f64) -> f64 {
    let b = limit + 1.166;
    let one_side = |delta: f64| match delta {
        d if d.abs() < 1e-6 => b * b,
        d => ((-2.0 * d * b).exp() + 2.0 * d * b - 1.0) / (2.0 * d * d),
    };
    let (up, down) = (one_side(shift - allowance), one_side(-shift - allowance));
    1.0 / (1.0 / up + 1.0 / down)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Interval-practice check 57.
    #[test]
    fn run_lengths_in_control() {
        assert!((average_run_length(0.0, 0.5, 4.0) - 169.0466).abs() < 6e-5);
        assert!((average_run_length(0.0, 0.5, 5.0) - 469.1112).abs() < 6e-5);
        assert!(average_run_length(1.0, 0.5, 5.0) < 12.0);
    }
}
