/*! One decision: accepted or rejected, and how likely it is wrong (JCGM 106:2012, 7 and 8). */

use super::DecisionRule;
use crate::records::Tolerance;
use crate::stats::normal_between;
use crate::words::percent;

/// What the rule says about one result.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Inside the acceptance limits.
    Accepted,
    /// Outside them.
    Rejected,
    /// The guard bands leave no room: U is too large for this tolerance.
    NoRoom,
    /// The error or its uncertainty is not known.
    Unknown,
}

/// A decision with its risk. Limits in the unit of the error.
#[derive(Debug, Clone, PartialEq)]
pub struct Conformity {
    /// Accepted or rejected.
    pub verdict: Verdict,
    /// Acceptance limits, infinite where open.
    pub acceptance: (f64, f64),
    /// Probability that the true error is inside the tolerance; NaN where unknown.
    pub probability: f64,
    /// Probability that this decision is wrong: accepted though outside, or rejected
    /// though inside (specific risk); NaN where there is no decision.
    pub risk: f64,
    /// The sentence for a certificate or table.
    pub words: String,
}

/// Probability that the true value lies inside `tolerance`, for a result `error` with
/// standard uncertainty `u` and no prior knowledge. 0 or 1 where u = 0; NaN where either
/// is not a number or u is negative.
pub fn conformance_probability(error: f64, u: f64, tolerance: Tolerance) -> f64 {
    if error.is_nan() || u.is_nan() || u < 0.0 {
        return f64::NAN;
    }
    if u == 0.0 {
        return f64::from(tolerance.contains(error));
    }
    normal_between(
        (tolerance.lower() - error) / u,
        (tolerance.upper() - error) / u,
    )
}

/// Mean and standard uncertainty of the true value after `reading` with `u_reading`, for
/// items known beforehand as `mean` with deviation `deviation`.
pub fn posterior(mean: f64, deviation: f64, reading: f64, u_reading: f64) -> (f64, f64) {
    let (before, seen) = (deviation.powi(-2), u_reading.powi(-2));
    let variance = 1.0 / (before + seen);
    (variance * (mean * before + reading * seen), variance.sqrt())
}

/// Applies `rule` to one result `error` with standard uncertainty `u`.
pub fn decide(error: f64, u: f64, tolerance: Tolerance, rule: &DecisionRule) -> Conformity {
    let guard = rule.guard_band(u);
    let acceptance = (tolerance.lower() + guard, tolerance.upper() - guard);
    let probability = conformance_probability(error, u, tolerance);
    let verdict = if probability.is_nan() || guard.is_nan() {
        Verdict::Unknown
    } else if acceptance.0 > acceptance.1 {
        Verdict::NoRoom
    } else if acceptance.0 <= error && error <= acceptance.1 {
        Verdict::Accepted
    } else {
        Verdict::Rejected
    };
    let risk = match verdict {
        Verdict::Accepted => outside_probability(error, u, tolerance),
        Verdict::Rejected => probability,
        Verdict::NoRoom | Verdict::Unknown => f64::NAN,
    };
    Conformity {
        words: words(verdict, probability, risk, guard),
        verdict,
        acceptance,
        probability,
        risk,
    }
}

/// 1 − conformance probability without loss of digits.
fn outside_probability(error: f64, u: f64, tolerance: Tolerance) -> f64 {
    if u == 0.0 {
        return f64::from(!tolerance.contains(error));
    }
    let above = |z: f64| normal_between(z, f64::INFINITY);
    above((error - tolerance.lower()) / u) + above((tolerance.upper() - error) / u)
}

fn words(verdict: Verdict, probability: f64, risk: f64, guard: f64) -> String {
    let rule = match guard {
        g if g > 0.0 => "guarded acceptance",
        g if g < 0.0 => "relaxed acceptance",
        _ => "simple acceptance",
    };
    match verdict {
        Verdict::Accepted => format!(
            "accepted ({rule}): in tolerance with probability {}",
            // A risk that is lost in rounding is still a risk.
            percent(probability.min(if risk > 0.0 { 1.0 - f64::EPSILON } else { 1.0 }))
        ),
        Verdict::Rejected => format!(
            "rejected ({rule}): in tolerance with probability {}, the risk that it is rejected wrongly",
            percent(probability)
        ),
        Verdict::NoRoom => {
            "no decision: the guard bands meet, the uncertainty is too large for this tolerance"
                .into()
        }
        Verdict::Unknown => "no decision: the error or its uncertainty is not stated".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::RuleName;
    use super::*;

    fn limits(lower: f64, upper: f64) -> Tolerance {
        Tolerance::new(lower, upper).unwrap()
    }

    fn rule(name: RuleName, guard_factor: f64) -> DecisionRule {
        DecisionRule {
            name,
            guard_factor,
            coverage_factor: 2.0,
        }
    }

    /// JCGM 106:2012 examples (figures of the guide from memory, recomputed with scipy
    /// in interval-practice 5.3): Zener voltage, container, engine oil.
    #[test]
    fn examples_of_the_guide() {
        let open = f64::INFINITY;
        let cases = [
            (-5.47, 0.05, limits(-open, -5.40), 0.919243),
            (507.0, 8.6, limits(490.0, open), 0.975965),
            (13.6, 1.8, limits(12.5, 16.3), 0.662630),
        ];
        for (y, u, tolerance, expected) in cases {
            let p = conformance_probability(y, u, tolerance);
            assert!(
                (p - expected).abs() < 6e-4_f64.min(2e-5 / u),
                "{p} {expected}"
            );
        }
    }

    /// Specific risk at the acceptance limit (interval-practice 5.3 table, scipy).
    #[test]
    fn risk_at_the_acceptance_limit() {
        let table = [
            (0.0, 0.5),
            (0.83, 0.048457),
            (1.0, 0.022750),
            (1.5, 0.00134990),
            (3.0, 9.8659e-10),
        ];
        for (factor, risk) in table {
            let guarded = rule(RuleName::Guarded, factor);
            let tolerance = limits(f64::NEG_INFINITY, 10.0);
            let at_limit = 10.0 - guarded.guard_band(0.5) - 1e-12;
            let decision = decide(at_limit, 0.5, tolerance, &guarded);
            assert_eq!(decision.verdict, Verdict::Accepted);
            assert!(
                (decision.risk / risk - 1.0).abs() < 2e-5,
                "{factor} {}",
                decision.risk
            );
        }
    }

    #[test]
    fn rules_differ_near_the_limit() {
        let tolerance = limits(-1.0, 1.0);
        let verdict = |x, name| decide(x, 0.1, tolerance, &rule(name, 1.0)).verdict;
        assert_eq!(verdict(0.9, RuleName::Simple), Verdict::Accepted);
        assert_eq!(verdict(0.9, RuleName::Guarded), Verdict::Rejected);
        assert_eq!(verdict(1.1, RuleName::Simple), Verdict::Rejected);
        assert_eq!(verdict(1.1, RuleName::Relaxed), Verdict::Accepted);
    }

    #[test]
    fn no_decision_says_why() {
        let tolerance = limits(-1.0, 1.0);
        let wide = decide(0.0, 1.0, tolerance, &rule(RuleName::Guarded, 1.0));
        assert_eq!(wide.verdict, Verdict::NoRoom);
        let unknown = decide(0.0, f64::NAN, tolerance, &DecisionRule::SIMPLE);
        assert_eq!(unknown.verdict, Verdict::Unknown);
        let exact = decide(1.0, 0.0, tolerance, &DecisionRule::SIMPLE);
        assert_eq!((exact.verdict, exact.risk), (Verdict::Accepted, 0.0));
    }
}
