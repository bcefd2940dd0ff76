/*! One decision: accepted or rejected, and how likely it is wrong (JCGM 106:2012, 7 and 8). */

use super::{DecisionRule, RuleName};
use crate::records::Tolerance;
use crate::stats::normal_between;
use crate::words::percent;
use serde::Serialize;

crate::words::worded! {
    /// What the rule says of one result, or of what is known of an item now.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash, PartialOrd, Ord, Serialize)]
    #[serde(rename_all = "snake_case")]
    pub enum State with word {
        /// Outside the rejection limits.
        Nonconforming = "nonconforming",
        /// Neither can be stated within the rule: a person decides.
        Indeterminate = "indeterminate",
        /// The error, its uncertainty or the tolerance is not known.
        #[default]
        Unknown = "unknown",
        /// Inside the acceptance limits.
        Conforming = "conforming",
    }
}

/// What is known of a true error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Estimate {
    /// Expected error.
    pub value: f64,
    /// Its standard uncertainty.
    pub u: f64,
    /// Probability that the error is inside the tolerance.
    pub probability: f64,
}

/// A statement with its risk. Limits in the unit of the error.
#[derive(Debug, Clone, PartialEq)]
pub struct Conformity {
    /// What is stated.
    pub state: State,
    /// Acceptance limits, infinite where open.
    pub acceptance: (f64, f64),
    /// Probability that the true error is inside the tolerance; NaN where unknown.
    pub probability: f64,
    /// Probability that this statement is wrong: conforming though outside, or nonconforming
    /// though inside (specific risk); NaN where nothing is stated.
    pub risk: f64,
    /// The sentence for a certificate or table.
    pub words: String,
}

impl Conformity {
    /// The same where the reading cannot carry a statement, for the reason `why`.
    #[must_use]
    pub(crate) fn withheld(self, why: &str) -> Self {
        Self {
            state: State::Unknown,
            probability: f64::NAN,
            risk: f64::NAN,
            words: format!("no statement and no probability: {why}"),
            ..self
        }
    }
}

/// Probability that the true value lies inside `tolerance`, for a result `error` with
/// standard uncertainty `u` and no prior knowledge. 0 or 1 where u = 0; NaN where either
/// is not a number or u is negative.
pub(crate) fn conformance_probability(error: f64, u: f64, tolerance: Tolerance) -> f64 {
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

/// What `rule` states of an error known as `estimate`.
pub(crate) fn statement(estimate: &Estimate, tolerance: Tolerance, rule: &DecisionRule) -> State {
    let Estimate {
        value,
        u,
        probability,
    } = *estimate;
    if probability.is_nan() || value.is_nan() {
        return State::Unknown;
    }
    if rule.name != RuleName::Risk {
        return by_limits(value, u, tolerance, rule);
    }
    match probability {
        p if p >= 1.0 - rule.largest_risk => State::Conforming,
        p if p <= rule.largest_risk => State::Nonconforming,
        _ => State::Indeterminate,
    }
}

/// What a rule of acceptance limits states of a value.
fn by_limits(value: f64, u: f64, tolerance: Tolerance, rule: &DecisionRule) -> State {
    let guard = rule.guard_band(u, tolerance);
    if guard.is_nan() {
        return State::Unknown;
    }
    let (lower, upper) = (tolerance.lower(), tolerance.upper());
    // Relaxed acceptance ends where rejection begins.
    let outside = guard.abs();
    if lower + guard <= value && value <= upper - guard {
        State::Conforming
    } else if value < lower - outside || value > upper + outside {
        State::Nonconforming
    } else {
        State::Indeterminate
    }
}

/// What `rule` states of one result, without the words: for every check of every history.
///
/// ```
/// use driftbook::conformity::{DecisionRule, RuleName, State, state};
/// use driftbook::records::Tolerance;
///
/// // A guard band of U = 2·0.2 narrows ±1 to ±0.6.
/// let rule = DecisionRule { name: RuleName::Guarded, ..DecisionRule::SIMPLE };
/// let tolerance = Tolerance::new(-1.0, 1.0).unwrap();
/// assert_eq!(state(0.5, 0.2, tolerance, &rule), State::Conforming);
/// assert_eq!(state(0.8, 0.2, tolerance, &rule), State::Indeterminate);
/// assert_eq!(state(1.5, 0.2, tolerance, &rule), State::Nonconforming);
/// ```
pub fn state(error: f64, u: f64, tolerance: Tolerance, rule: &DecisionRule) -> State {
    let known = error.is_finite() && u.is_finite() && u >= 0.0;
    if known && rule.name != RuleName::Risk {
        // No probability is asked for, which is what takes time.
        return by_limits(error, u, tolerance, rule);
    }
    let estimate = Estimate {
        value: error,
        u,
        probability: conformance_probability(error, u, tolerance),
    };
    statement(&estimate, tolerance, rule)
}

/// Applies `rule` to one result `error` with standard uncertainty `u`.
pub fn decide(error: f64, u: f64, tolerance: Tolerance, rule: &DecisionRule) -> Conformity {
    let guard = rule.guard_band(u, tolerance);
    let probability = conformance_probability(error, u, tolerance);
    let estimate = Estimate {
        value: error,
        u,
        probability,
    };
    let state = statement(&estimate, tolerance, rule);
    let risk = match state {
        State::Conforming => outside_probability(error, u, tolerance),
        State::Nonconforming => probability,
        State::Indeterminate | State::Unknown => f64::NAN,
    };
    let acceptance = (tolerance.lower() + guard, tolerance.upper() - guard);
    Conformity {
        words: words(state, (probability, risk), acceptance, rule),
        state,
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

fn words(
    state: State,
    (probability, risk): (f64, f64),
    acceptance: (f64, f64),
    rule: &DecisionRule,
) -> String {
    let (word, by) = (state.word(), rule.words());
    match state {
        State::Conforming => format!(
            "{word} ({by}): in tolerance with probability {}",
            // A risk that is lost in rounding is still a risk.
            percent(probability.min(if risk > 0.0 { 1.0 - f64::EPSILON } else { 1.0 }))
        ),
        State::Nonconforming => format!(
            "{word} ({by}): in tolerance with probability {}, the risk that it is rejected wrongly",
            percent(probability)
        ),
        State::Indeterminate => {
            let room = match acceptance.0 > acceptance.1 {
                true => "; the guard bands meet, the uncertainty is too large for this tolerance",
                false => "",
            };
            format!(
                "{word} ({by}): in tolerance with probability {}{room}; a person decides",
                percent(probability)
            )
        }
        State::Unknown => "no statement: the error or its uncertainty is not known".into(),
    }
}

#[cfg(test)]
#[path = "decision_tests.rs"]
mod tests;
