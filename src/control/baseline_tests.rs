/*! What the values since the base period say against it, and whether neighbours go together. */

use super::tests_of_change::{Change, deviation_change, mean_change, single_value};
use crate::stats::normal_quantile;

/// Fewest values on either side of a comparison of two periods. Ours, no source.
const FEWEST: usize = 4;

/// Tests of one series against its base period.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct BaselineTests {
    /// t test of the last value against the accepted one.
    pub last: Option<Change>,
    /// t test of the mean since.
    pub mean: Option<Change>,
    /// F test of the scatter since.
    pub scatter: Option<Change>,
    /// Correlation of neighbours, where it is more than chance explains (two-sided 95 %).
    pub neighbours: Option<f64>,
}

impl BaselineTests {
    /// Of `values`, the first `base` of which are the base period.
    pub(crate) fn of(values: &[f64], base: usize) -> Self {
        let (old, new) = values.split_at(base.min(values.len()));
        let period = |values: &[f64]| {
            let n = values.len() as f64;
            let mean = values.iter().sum::<f64>() / n;
            let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
            (mean, (squares / (n - 1.0)).sqrt(), values.len())
        };
        let known = old.len() >= FEWEST;
        let ((mean, deviation, n), freedom) = (period(old), old.len() as f64 - 1.0);
        // The accepted value is itself a mean of the base period's values.
        let of_one = deviation * (1.0 + 1.0 / n as f64).sqrt();
        let last = new.last().filter(|_| known);
        let both = known && new.len() >= FEWEST;
        Self {
            last: last.map(|value| single_value(*value, mean, of_one, freedom)),
            mean: both.then(|| mean_change(period(new), period(old))),
            scatter: both.then(|| {
                let new_freedom = new.len() as f64 - 1.0;
                deviation_change((period(new).1, new_freedom), (deviation, freedom))
            }),
            neighbours: lag_one(values)
                .filter(|r| r.abs() > normal_quantile(0.975) / (values.len() as f64).sqrt()),
        }
    }
}

/// Correlation of neighbours; `None` for fewer than four values or values that do not differ.
/// Beyond 1.96/√n it is more than chance explains (e-Handbook 1.3.3.1).
pub(crate) fn lag_one(values: &[f64]) -> Option<f64> {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
    let products: f64 = values
        .windows(2)
        .map(|pair| (pair[0] - mean) * (pair[1] - mean))
        .sum();
    (values.len() >= FEWEST && squares > 0.0).then(|| products / squares)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: products 0.75 − 0.25 + 0.75 over squares 5.
    #[test]
    fn correlation_of_neighbours() {
        near!(lag_one(&[1.0, 2.0, 3.0, 4.0]).unwrap(), 0.25, 1e-15);
        assert_eq!(lag_one(&[1.0; 9]), None);
        assert_eq!(lag_one(&[1.0, 2.0]), None);
    }

    #[test]
    fn a_shift_and_a_growing_scatter_are_told_and_a_steady_series_is_not() {
        let base = [0.0, 1.0, 0.5, -1.0, -0.5, 0.5, -1.0, 0.5];
        let series = |later: &[f64]| [&base[..], later].concat();
        let moved = BaselineTests::of(&series(&[3.0, 3.5, 2.5, 3.0]), 8);
        assert!(moved.mean.unwrap().p_value < 1e-3 && moved.last.unwrap().p_value < 0.01);
        let wild = BaselineTests::of(&series(&[4.0, -4.0, 5.0, -5.0]), 8);
        assert!(wild.scatter.unwrap().p_value < 0.01 && wild.mean.unwrap().p_value > 0.1);
        let steady = BaselineTests::of(&series(&[0.5, 0.0, -0.5, 0.5]), 8);
        assert!(steady.mean.unwrap().p_value > 0.5 && steady.neighbours.is_none());
        assert_eq!(BaselineTests::of(&series(&[1.0]), 8).mean, None);
    }
}
