/*! What speaks against a decision from outside the policy: it holds the interval back, bounds it or asks a person. */

use super::decision::{Action, Decision};
use super::due::set_interval;
use crate::intervals::Evidence;
use crate::words::{days, full_stop};
use std::cmp::Ordering;

/// Puts the interval in use back where the decision would lengthen it although something
/// outside the policy speaks against it: `reason` gets the decision's own sentence and the
/// interval that stays, and gives the new one. False, and nothing changed, where the decision
/// lengthens nothing.
pub(crate) fn hold(
    evidence: &Evidence<'_>,
    decision: &mut Decision,
    reason: impl FnOnce(&str, String) -> String,
) -> bool {
    let longer = decision.interval_days > evidence.current_interval;
    if longer {
        set_interval(evidence, decision, evidence.current_interval);
        decision.reason = reason(&decision.reason, days(decision.interval_days));
    }
    longer
}

/// Turns the decision to a person, but for one that withdraws: `framed` puts the reason before the decision's own
/// sentence, and no interval grows `until` the person has decided.
pub(crate) fn review(
    evidence: &Evidence<'_>,
    decision: &mut Decision,
    framed: impl Fn(&str) -> String,
    until: &str,
) {
    if decision.action == Action::Withdraw {
        return;
    }
    let held = hold(evidence, decision, |own, stays| {
        format!("{} {stays} stay in force {until}.", framed(&full_stop(own)))
    });
    if !held {
        decision.reason = framed(&decision.reason);
    }
    decision.action = Action::Review;
}

/// Shortens the decision to `most` days where it would be longer, for a reason from outside the
/// policy that `reason` puts after the decision's own sentence. False where it is not longer.
pub(crate) fn shorten_to(
    evidence: &Evidence<'_>,
    decision: &mut Decision,
    most: f64,
    reason: impl FnOnce(&str, String) -> String,
) -> bool {
    let longer = decision.interval_days > most;
    if longer {
        set_interval(evidence, decision, most);
        decision.reason = reason(&decision.reason, days(most));
        let person = decision.action.needs_person();
        decision.action = match most.partial_cmp(&evidence.current_interval) {
            _ if person => decision.action,
            Some(Ordering::Greater) => Action::Extend,
            Some(Ordering::Less) => Action::Shorten,
            _ => Action::Keep,
        };
    }
    longer
}

/// Puts the interval in force back, longer or shorter than the decision's; returns the decision's
/// own sentence.
pub(crate) fn keep_in_force(evidence: &Evidence<'_>, decision: &mut Decision) -> String {
    set_interval(evidence, decision, evidence.current_interval);
    if !decision.action.needs_person() {
        decision.action = Action::Keep;
    }
    std::mem::take(&mut decision.reason)
}
