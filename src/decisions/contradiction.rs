/*! A record that contradicts itself, or whose newest check cannot be read, asks for a person: no interval rests on it alone. */

use super::policy::{Decision, Rule, review};
use crate::intervals::Evidence;

/// Turns the decision to a person where the record says one thing and its numbers another.
pub(crate) fn apply(evidence: &Evidence<'_>, decision: &mut Decision) {
    let Some(words) = evidence.history.item.left_open(evidence.as_of) else {
        return;
    };
    let rule = Rule::new("the record leaves open what holds", &format!(": {words}"));
    decision.rules_fired.push(rule);
    let framed = |own: &str| format!("Review by a person: {words}. By the interval alone: {own}");
    review(evidence, decision, framed, "until then");
}
