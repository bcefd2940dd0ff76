/*! Exact statements about a proportion: tails and limits that hold for any number of trials.

Source: C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404–413; the limits are
quantiles of beta distributions, found here as zeros of the tail probability itself.
*/

use super::root;
use statrs::function::beta::checked_beta_reg;

/// Probability of at most `successes` in `trials` where each succeeds with `probability`.
pub(crate) fn binomial_at_most(successes: u64, trials: u64, probability: f64) -> f64 {
    if successes >= trials {
        return 1.0;
    }
    1.0 - binomial_at_least(successes + 1, trials, probability)
}

/// Probability of at least `successes` in `trials` where each succeeds with `probability`.
pub(crate) fn binomial_at_least(successes: u64, trials: u64, probability: f64) -> f64 {
    if successes == 0 {
        return 1.0;
    }
    if successes > trials || probability <= 0.0 {
        return 0.0;
    }
    if probability >= 1.0 {
        return 1.0;
    }
    let failures = (trials - successes + 1) as f64;
    checked_beta_reg(successes as f64, failures, probability).unwrap_or(f64::NAN)
}

/// Largest proportion that `successes` in `trials` still leave a tail of `tail` below it:
/// the one-sided lower limit at confidence `1 − tail`. 0 where nothing succeeded.
pub(crate) fn proportion_lower(successes: u64, trials: u64, tail: f64) -> f64 {
    if successes == 0 || trials == 0 {
        return 0.0;
    }
    if successes >= trials {
        return (tail.ln() / trials as f64).exp();
    }
    let excess = |p: f64| binomial_at_least(successes, trials, p) - tail;
    root(0.0, 1.0, excess).unwrap_or(0.0)
}

/// One-sided upper limit of the proportion at confidence `1 − tail`. 1 where all succeeded.
pub(crate) fn proportion_upper(successes: u64, trials: u64, tail: f64) -> f64 {
    1.0 - proportion_lower(trials.saturating_sub(successes), trials, tail)
}

/// Two-sided exact limits of the proportion at confidence `level`, as (lower, upper).
pub(crate) fn proportion_limits(successes: u64, trials: u64, level: f64) -> (f64, f64) {
    let tail = 0.5 * (1.0 - level);
    (
        proportion_lower(successes, trials, tail),
        proportion_upper(successes, trials, tail),
    )
}

/// The same limits for a share of a number of trials that need not be whole: that of independent
/// trials which would tell as much as dependent ones do.
pub(crate) fn share_limits(share: f64, trials: f64, level: f64) -> (f64, f64) {
    let tail = 0.5 * (1.0 - level);
    let lower = |share: f64| {
        let successes = share * trials;
        if successes.is_nan() || successes <= 0.0 {
            return 0.0;
        }
        if share >= 1.0 {
            return (tail.ln() / trials).exp();
        }
        let others = trials - successes + 1.0;
        let excess = |p: f64| match checked_beta_reg(successes, others, p) {
            Ok(at_least) => at_least - tail,
            Err(_) => f64::NAN,
        };
        root(0.0, 1.0, excess).unwrap_or(0.0)
    };
    (lower(share), 1.0 - lower(1.0 - share))
}

/// Fewest trials without one failure that show a proportion of at least `target` at
/// confidence `1 − tail`: the least n with targetⁿ ≤ tail. `None` unless both lie in (0, 1).
pub(crate) fn trials_without_failure(target: f64, tail: f64) -> Option<u64> {
    let inside = |x: f64| x > 0.0 && x < 1.0;
    (inside(target) && inside(tail)).then(|| (tail.ln() / target.ln()).ceil() as u64)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: f64, b: f64, digits: f64) {
        assert!((a - b).abs() <= digits * b.abs().max(1e-3), "{a} {b}");
    }

    /// scipy 1.17.1 `binom.cdf`, `binom.sf` (interval-practice checks 12 and 13).
    #[test]
    fn tails() {
        close(binomial_at_most(18, 20, 0.95), 0.264160, 1e-5);
        close(binomial_at_least(18, 20, 0.95), 0.924516, 1e-5);
        close(binomial_at_most(27, 40, 0.85), 0.004313, 2e-4);
        close(binomial_at_least(58, 60, 0.85), 0.003884, 2e-4);
        close(binomial_at_least(60, 60, 0.95), 0.046070, 2e-5);
    }

    /// scipy 1.17.1 `beta.ppf` (interval-practice checks 6 to 11).
    #[test]
    fn limits() {
        let cases = [
            (18, 20, 0.95, 0.6830173, 0.9876515),
            (18, 20, 0.90, 0.717381, 0.981935),
            (27, 40, 0.95, 0.508705, 0.814271),
            (58, 60, 0.95, 0.884719, 0.995937),
            (20, 20, 0.95, 0.831567, 1.0),
            (0, 8, 0.95, 0.0, 0.369417),
            (3, 5, 0.90, 0.189255, 0.923560),
        ];
        for (successes, trials, level, lower, upper) in cases {
            let (l, u) = proportion_limits(successes, trials, level);
            near!(l, lower, 6e-7);
            near!(u, upper, 6e-7);
        }
    }

    #[test]
    fn whole_trials_of_a_share_are_those_of_a_count() {
        for (successes, trials) in [(18, 20), (0, 8), (20, 20), (3, 5)] {
            let by_count = proportion_limits(successes, trials, 0.95);
            let share = successes as f64 / trials as f64;
            let by_share = share_limits(share, trials as f64, 0.95);
            near!(by_count.0, by_share.0, 1e-9);
            near!(by_count.1, by_share.1, 1e-9);
        }
    }

    /// `ceil(log(alpha)/log(R))` (interval-practice check 14 and table 2.4).
    #[test]
    fn sample_sizes() {
        assert_eq!(trials_without_failure(0.95, 0.05), Some(59));
        assert_eq!(trials_without_failure(0.85, 0.05), Some(19));
        assert_eq!(trials_without_failure(0.99, 0.01), Some(459));
        assert_eq!(trials_without_failure(1.0, 0.05), None);
    }
}
