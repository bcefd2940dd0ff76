/*! Exact statements about a count: tails and limits of a Poisson mean.

Source: F. Garwood, Biometrika 28 (1936) 437–442; the limits are zeros of the tail
probability, which is a gamma distribution function of the mean.
*/

use super::root;
use statrs::function::gamma::{checked_gamma_lr, checked_gamma_ur};

/// Probability of at least `count` events where `mean` are expected.
fn poisson_at_least(count: u64, mean: f64) -> f64 {
    if count == 0 {
        return 1.0;
    }
    if mean <= 0.0 {
        return 0.0;
    }
    checked_gamma_lr(count as f64, mean).unwrap_or(f64::NAN)
}

/// Two-sided exact limits of the mean behind `count` events at confidence `level`.
pub(crate) fn mean_limits(count: u64, level: f64) -> (f64, f64) {
    let tail = 0.5 * (1.0 - level);
    let wide = far_above(count as f64);
    let lower = match count {
        0 => 0.0,
        _ => root(0.0, wide, |m| poisson_at_least(count, m) - tail).unwrap_or(0.0),
    };
    (lower, mean_upper(count as f64, tail))
}

/// One-sided upper limit of the mean at confidence `1 − tail`. `count` need not be whole where
/// events are counted by their probability; it is then the limit of the gamma distribution
/// between those of the whole numbers beside it.
pub(crate) fn mean_upper(count: f64, tail: f64) -> f64 {
    if count == 0.0 {
        return -tail.ln();
    }
    let at_most = |mean: f64| match mean > 0.0 {
        true => checked_gamma_ur(count + 1.0, mean).unwrap_or(f64::NAN),
        false => 1.0,
    };
    root(0.0, far_above(count), |m| at_most(m) - tail).unwrap_or(f64::INFINITY)
}

/// A mean that no confidence level in double precision reaches: forty deviations above.
fn far_above(count: f64) -> f64 {
    let count = count + 1.0;
    count + 40.0 * count.sqrt() + 800.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// R 4.2.2 `poisson.test` of one event (shared reference data, group G1).
    #[test]
    fn limits_of_a_small_count() {
        let (lower, upper) = mean_limits(1, 0.95);
        near!(lower, 0.0005957131290421152 * 42.5, 1e-12);
        near!(upper, 0.1310974915515035 * 42.5, 1e-12 * 5.6);
    }

    #[test]
    fn no_event_gives_a_bound_only() {
        assert_eq!(mean_limits(0, 0.95).0, 0.0);
        near!(mean_upper(0.0, 0.05), 2.995732273553991, 1e-14);
    }

    /// Half the quantiles of chi-squared at 0.95 with 2, 3, 4 and 12 degrees of freedom
    /// (SciPy 1.17 `chi2.ppf`; 5.991, 7.815, 9.488 and 21.026 in any table).
    #[test]
    fn parts_of_events_lie_between() {
        for (count, upper) in [
            (0.0, 2.9957322735539895),
            (0.5, 3.9073639516255896),
            (1.0, 4.743864518390577),
            (5.0, 10.513034908741535),
        ] {
            near!(mean_upper(count, 0.05), upper, 1e-12);
        }
    }
}
