/*! The exact test of a proportion in tolerance against the target, and the rescale that follows it.

C. J. Clopper, E. S. Pearson, *Biometrika* 26 (1934) for the limits; the exponential
rescale I' = I · ln T / ln p is this program's own choice.
*/

use super::evidence::outcomes::Outcomes;
use crate::stats::{binomial_at_least, binomial_at_most, proportion_limits};
use std::cell::RefCell;
use std::collections::HashMap;

/// What the test finds at one interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IntervalTestResult {
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

/// The test of `inside` of `checks` with limits from what counts by lives: in tolerance for the
/// lower limit, for the upper one, and all.
pub(super) fn test(
    (inside, checks): (u64, u64),
    (fewest_in, most_in, lives): (u64, u64, u64),
    target: f64,
    confidence: f64,
) -> IntervalTestResult {
    let limits = (
        proportion_limits(fewest_in, lives, confidence).0,
        proportion_limits(most_in, lives, confidence).1,
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
        p_low: binomial_at_most(most_in, lives, target),
        p_high: binomial_at_least(fewest_in, lives, target),
    }
}

/// Tests that a thread remembers.
const REMEMBERED: usize = 1 << 10;
/// Counts, target and confidence, bit for bit.
type Asked = (u64, u64, u64, u64, u64);

/// Tests results against `target` at `confidence`. The items of a group at one interval all ask the same, and each exact
/// limit is a search: a thread remembers its answers.
pub(crate) fn remembered(seen: &Outcomes, target: f64, confidence: f64) -> IntervalTestResult {
    thread_local! {
        static KNOWN: RefCell<HashMap<Asked, IntervalTestResult>> = RefCell::default();
    }
    let counts = (seen.inside, seen.checks);
    let asked = (
        counts.0,
        counts.1,
        seen.lives,
        target.to_bits(),
        confidence.to_bits(),
    );
    KNOWN.with_borrow_mut(|known| {
        if known.len() >= REMEMBERED {
            known.clear();
        }
        let test = || test(counts, seen.by_lives(), target, confidence);
        *known.entry(asked).or_insert_with(test)
    })
}
