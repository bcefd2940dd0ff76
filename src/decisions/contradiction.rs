/*! A record that contradicts itself asks for a person: no interval rests on it alone. */

use super::policy::{Action, Decision, Rule, hold};
use crate::intervals::Evidence;
use crate::words::full_stop;

/// Turns the decision to a person where the record says one thing and its numbers another.
pub(crate) fn apply(evidence: &Evidence<'_>, decision: &mut Decision) {
    let Some(words) = &evidence.history.item.contradiction else {
        return;
    };
    let rule = Rule::new("the record contradicts itself", &format!(": {words}"));
    decision.rules_fired.push(rule);
    if decision.action == Action::Withdraw {
        return;
    }
    let framed = |own: &str| format!("Review by a person: {words}. By the interval alone: {own}");
    let held = hold(evidence, decision, |own, stays| {
        format!(
            "{} {stays} stay in force until then.",
            framed(&full_stop(own))
        )
    });
    if !held {
        decision.reason = framed(&decision.reason);
    }
    decision.action = Action::Review;
}
