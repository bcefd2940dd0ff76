/*! The guard band of a rule that bounds the risk of its statement. */

use crate::records::Tolerance;
use crate::stats::{normal_above, normal_quantile, root};

/// Distance from either limit of `tolerance` at which a value read with standard uncertainty `u`
/// is outside with probability `risk`. Past the middle where no value has so small a risk.
pub(super) fn risk_guard(u: f64, tolerance: Tolerance, risk: f64) -> f64 {
    let single = normal_quantile(1.0 - risk);
    let shared = normal_quantile(1.0 - 0.5 * risk);
    let width = (tolerance.upper() - tolerance.lower()) / u;
    if !width.is_finite() {
        return single * u;
    }
    if width <= 2.0 * shared {
        return shared * u;
    }
    // What lies beyond the far limit counts too, so that the band of one limit is too narrow.
    let excess = |guard: f64| normal_above(guard) + normal_above(width - guard) - risk;
    // None where the far limit adds nothing that can be told.
    root(single, shared, excess).unwrap_or(single) * u
}

#[cfg(test)]
mod tests {
    use super::super::{DecisionRule, RuleName, State, decide};
    use super::*;

    /// A value just inside the acceptance limits is accepted, and one just outside is not, however
    /// large u is: with the band of one limit ±0.155 was shown where 18 % were outside.
    #[test]
    fn acceptance_limits_are_those_of_the_statement() {
        let tolerance = Tolerance::new(-4.0, 4.0).unwrap();
        for largest_risk in [0.001, 0.05, 0.1, 0.3] {
            let rule = DecisionRule {
                name: RuleName::Risk,
                largest_risk,
                ..DecisionRule::SIMPLE
            };
            for u in [0.01, 1.0, 2.0, 3.0, 5.0] {
                let limit = decide(0.0, u, tolerance, &rule).acceptance.1;
                let state = |value: f64| decide(value, u, tolerance, &rule).state;
                let room = state(0.0) == State::Conforming;
                assert_eq!(room, limit >= 0.0, "{largest_risk} {u} {limit}");
                if room {
                    let (inside, outside) = (state(limit - 1e-9), state(limit + 1e-9));
                    assert_eq!(inside, State::Conforming, "{largest_risk} {u} {limit}");
                    assert_eq!(outside, State::Indeterminate, "{largest_risk} {u} {limit}");
                }
            }
        }
    }

    /// Φ(1.644853627) = 0.95 (any table of the normal distribution).
    #[test]
    fn a_single_limit_has_the_quantile_of_the_normal() {
        let open = Tolerance::new(f64::NEG_INFINITY, 1.0).unwrap();
        near!(risk_guard(0.5, open, 0.05), 0.5 * 1.644_853_627, 1e-9);
        let exact = Tolerance::new(-1.0, 1.0).unwrap();
        assert_eq!(risk_guard(0.0, exact, 0.05), 0.0);
    }
}
