/*! The exact test of a proportion in tolerance against the target, and the rescale that follows it.

C. J. Clopper, E. S. Pearson, *Biometrika* 26 (1934) for the limits; the exponential
rescale I' = I · ln T / ln p is this program's own choice.
*/

use super::evidence::outcomes::Outcomes;
use crate::stats::{binomial_at_least, binomial_at_most, proportion_limits};

/// What the test finds at one interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct IntervalTestResult {
    /// Factor of the interval; 1 where the data agree with the target.
    pub factor: f64,
    /// Exact limits of the proportion in tolerance.
    pub limits: (f64, f64),
    /// Factors by the rescale through these limits; the upper may be infinite.
    pub factor_limits: (f64, f64),
    /// Probability of so few in tolerance at the target.
    pub p_low: f64,
    /// Probability of so many.
    pub p_high: f64,
}

/// Factor that brings an interval with reliability `p` to `target`, by an exponential R(t).
pub(super) fn rescale(target: f64, p: f64) -> f64 {
    target.ln() / p.ln()
}

/// The test of `inside` of `checks` with limits from what counts for each, in tolerance and in
/// all: `lower` and `upper`.
pub(super) fn test(
    (inside, checks): (u64, u64),
    (lower, upper): ((u64, u64), (u64, u64)),
    target: f64,
    confidence: f64,
) -> IntervalTestResult {
    let limits = (
        proportion_limits(lower.0, lower.1, confidence).0,
        proportion_limits(upper.0, upper.1, confidence).1,
    );
    let (g, n) = (inside as f64, checks as f64);
    let proportion = match inside {
        0 => 0.5 / (n + 1.0),
        _ if inside == checks => limits.0,
        _ => g / n,
    };
    let rescale = |p: f64| rescale(target, p);
    let changes = limits.1 < target || limits.0 > target;
    IntervalTestResult {
        factor: if changes { rescale(proportion) } else { 1.0 },
        limits,
        factor_limits: (
            rescale(limits.0),
            if limits.1 < 1.0 {
                rescale(limits.1)
            } else {
                f64::INFINITY
            },
        ),
        p_low: binomial_at_most(upper.0, upper.1, target),
        p_high: binomial_at_least(lower.0, lower.1, target),
    }
}

/// Tests results against `target` at `confidence`.
pub(crate) fn of_results(seen: &Outcomes, target: f64, confidence: f64) -> IntervalTestResult {
    test(
        (seen.inside, seen.checks),
        (seen.for_lower_limit(), seen.for_upper_limit()),
        target,
        confidence,
    )
}

/// Whether the lower exact limit reaches `target`: so many in tolerance are then no likelier than the tail that the
/// limit leaves. Without the search for the limit itself.
pub(crate) fn shows(seen: &Outcomes, target: f64, confidence: f64) -> bool {
    let (inside, lives) = seen.for_lower_limit();
    binomial_at_least(inside, lives, target) <= 0.5 * (1.0 - confidence)
}

/// Whether the upper exact limit lies below `target`, in the same way.
pub(crate) fn contradicts(seen: &Outcomes, target: f64, confidence: f64) -> bool {
    let (inside, checks) = seen.for_upper_limit();
    binomial_at_most(inside, checks, target) < 0.5 * (1.0 - confidence)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tails_say_what_the_limits_say() {
        for lives in 1..60 {
            for inside in 0..=lives {
                let mut seen = Outcomes::default();
                (seen.checks, seen.inside, seen.lives) = (lives, inside, lives);
                seen.failed_lives = lives - inside;
                for (target, confidence) in [(0.95, 0.95), (0.8, 0.9), (0.99, 0.5)] {
                    let (lower, upper) = of_results(&seen, target, confidence).limits;
                    let case = format!("{inside} of {lives}: {lower} to {upper}, {target}");
                    assert_eq!(shows(&seen, target, confidence), lower >= target, "{case}");
                    assert_eq!(
                        contradicts(&seen, target, confidence),
                        upper < target,
                        "{case}"
                    );
                }
            }
        }
    }
}
