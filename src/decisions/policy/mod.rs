/*! The policy: from the proposals for one history to one decision a person can sign.

A leading proposal is chosen, rules bind it in a fixed order (largest change,
vetoes, smallest change, floor, cap, rounding down), and the action follows from
the result and from the item's own state. What no interval passes is in `guardrails`; what the
rules cost against perfect knowledge is told in docs/evidence.md.
*/

pub(crate) mod decision;
mod due;
pub(super) mod fitness;
pub(crate) mod guard;
pub(crate) mod guardrails;
mod held;
mod held_interval;
mod lead;
mod lived;
pub(crate) mod remedied;
mod rule;
mod rules;
pub(crate) mod settings;
mod settle;
pub(crate) mod smoothing;
pub(crate) mod step_rate;

pub use decision::Action;
pub(crate) use decision::BY_THE_RECORD;
pub(crate) use decision::{ApprovalState, Decision, PastDecision, leading};
pub(crate) use due::{due_now, end_with_due};
pub(crate) use held::{hold, keep_in_force, review, shorten_to};
pub(crate) use rule::Rule;
pub(crate) use settings::{PolicySettings, StepRate};

use crate::conformity::State;
use crate::intervals::{Evidence, GroupEvidence, MethodName, Proposal};
use crate::words::{days, percent};
use due::set_interval;
use fitness::unfit;
use lead::{Lead, first_interval, lead, why_none};
use rules::{Case, Draft, too_little};

/// Intervals differ where they differ by half a day or more.
pub(crate) const SAME_DAYS: f64 = 0.5;

/// Decides for one history. `past` holds earlier decisions for the same history, if any.
pub(crate) fn decide(
    evidence: &Evidence<'_>,
    proposals: &[Proposal],
    group: &GroupEvidence,
    settings: &PolicySettings,
    past: &[PastDecision],
) -> Decision {
    let case = Case {
        evidence,
        rules: settings.rules(&evidence.history.item.group),
        past,
    };
    let leading = lead(evidence, proposals, &case.rules)
        .or_else(|| first_interval(evidence, group, settings));
    let Some(leading) = leading else {
        let in_use = Draft::in_use(evidence.current_interval);
        let draft = case.settle(in_use, group, None);
        let because = match evidence.in_or_out_unknown() {
            true => "no tolerance was given".to_string(),
            false if evidence.level_in_doubt => "the item's level is in doubt".to_string(),
            false => why_none(proposals, &case.rules),
        };
        return without_lead(&case, draft, &because);
    };
    let draft = case.settle(Draft::leading(leading.days), group, leading.method);
    with_lead(&case, draft, leading)
}

/// The decision where a proposal leads.
fn with_lead(case: &Case<'_>, mut draft: Draft, leading: Lead) -> Decision {
    let evidence = case.evidence;
    let current = evidence.current_interval;
    let below = case.below_target_after(draft.days);
    let by_interval = action_on_interval(case, &mut draft, below);
    let because = leading.because(evidence) + &binding(&draft, current);
    draft.fired.splice(0..0, leading.rule);
    if let Some(why) = unfit(evidence) {
        return finish(case, draft, Outline::withdrawn(&why));
    }
    let action = by_interval;
    let reason = reason(action, current, draft.days, &because);
    let stated = case.rules.settings.below_target && !evidence.level_in_doubt;
    let reason = match below.filter(|_| stated) {
        Some(probability) => format!(
            "Below the target of {}, as the pipeline allows: {} in tolerance on the due date. {reason}",
            percent(evidence.target),
            percent(probability)
        ),
        None => reason,
    };
    let change = what_would_change(evidence, leading.days, draft.days);
    let outline = Outline {
        action,
        method: leading.method,
        reason,
        change,
    };
    finish(case, draft, outline)
}

/// What becomes of the interval; a person is asked where the item's criticality or the probability
/// `below` the target asks for one, and the rule that says so is added to the draft.
fn action_on_interval(case: &Case<'_>, draft: &mut Draft, below: Option<f64>) -> Action {
    let evidence = case.evidence;
    let mut action = match draft.days - evidence.current_interval {
        change if change.abs() < SAME_DAYS => Action::Keep,
        change if change > 0.0 => Action::Extend,
        _ => Action::Shorten,
    };
    let ask = case.criticality_in(&case.rules.settings.ask_person);
    if ask && action != Action::Keep {
        let rule = format!(
            "criticality \"{}\" asks for a person before the interval changes",
            evidence.history.item.criticality
        );
        draft.fired.push(rule.into());
        action = Action::Review;
    }
    if let Some(probability) = below.filter(|_| !case.rules.settings.below_target) {
        draft.fired.push(Rule::new(
            format!(
                "even after {} the forecast gives {} in tolerance",
                days(draft.days),
                too_little(evidence, probability)
            ),
            &format!(", below the target of {}", percent(evidence.target)),
        ));
        draft.asks = true;
    }
    match draft.asks {
        true => Action::Review,
        false => action,
    }
}

/// The rules that bind, as the reason goes on: the last one that fired, but where it asks for a
/// person alone also the one before it.
fn binding(draft: &Draft, current: f64) -> String {
    let named = match draft.asks && draft.days < current {
        true => 2,
        false => 1,
    };
    let first = draft.fired.len().saturating_sub(named);
    let rules = draft.fired[first..].iter();
    rules.map(|rule| format!("; {rule}")).collect()
}

/// The reason of what becomes of the interval, `current` until now.
fn reason(action: Action, current: f64, decided: f64, because: &str) -> String {
    let (now, then) = (days(current), days(decided));
    match action {
        Action::Extend => format!("Extend from {now} to {then}: {because}."),
        Action::Shorten => format!("Shorten from {now} to {then}: {because}."),
        Action::Keep => format!("Keep {now}: {because}."),
        _ if decided == current => {
            format!("Review by a person, keep {now} until then: {because}.")
        }
        _ => format!("Review by a person before changing from {now} to {then}: {because}."),
    }
}

/// The decision where no proposal leads: the interval in use stays until a person decides.
fn without_lead(case: &Case<'_>, draft: Draft, because: &str) -> Decision {
    let current = case.evidence.current_interval;
    if let Some(why) = unfit(case.evidence) {
        return finish(case, draft, Outline::withdrawn(&why));
    }
    let action = Action::Review;
    let allowed = match draft.days < current {
        true => format!(
            ", and {} are proposed{}",
            days(draft.days),
            binding(&draft, current)
        ),
        false => String::new(),
    };
    let reason = format!(
        "Review by a person: no interval can be derived, because {because}; {} stay in force until then{allowed}.",
        days(current)
    );
    let change = vec![if case.evidence.in_or_out_unknown() {
        "a method can lead once the tolerance is given: lower and upper limits of the error, in the checks or in the register".to_string()
    } else {
        format!("a method can lead once this is mended: {because}")
    }];
    let method = None;
    finish(
        case,
        draft,
        Outline {
            action,
            method,
            reason,
            change,
        },
    )
}

/// The parts of a decision that differ between a led and an unled one.
struct Outline {
    action: Action,
    method: Option<MethodName>,
    reason: String,
    change: Vec<String>,
}

impl Outline {
    /// Out of use: neither a method nor a rule about the interval leads, whatever was proposed.
    fn withdrawn(why: &str) -> Self {
        Self {
            action: Action::Withdraw,
            method: None,
            reason: format!("Withdraw from use until recalibrated: {why}."),
            change: Vec::new(),
        }
    }
}

fn finish(case: &Case<'_>, mut draft: Draft, outline: Outline) -> Decision {
    let evidence = case.evidence;
    if outline.action == Action::Withdraw {
        draft.fired.clear();
        // Nothing longer is there to be held back by what speaks after this.
        draft.days = draft.days.min(evidence.current_interval);
    }
    let due_date = evidence.last_calibration + draft.days;
    let mut decision = Decision {
        action: outline.action,
        interval_days: draft.days,
        due_date,
        assigned_date: due_date,
        current_interval_days: evidence.current_interval,
        method: outline.method,
        predicted_error: f64::NAN,
        band_lower: f64::NAN,
        band_upper: f64::NAN,
        probability_in_tolerance: f64::NAN,
        level_in_doubt: evidence.level_in_doubt,
        unclosed: None,
        interval_99_days: f64::NAN,
        probability_now: f64::NAN,
        conformity_now: State::Unknown,
        in_force_due: f64::NAN,
        approval: ApprovalState::None,
        pending_since: f64::NAN,
        remedy: None,
        open_cases: None,
        reason: outline.reason,
        rules_fired: draft.fired,
        what_would_change: outline.change,
    };
    set_interval(evidence, &mut decision, draft.days);
    decision
}

/// Limits that hold the interval back, as the reader could change them.
fn what_would_change(evidence: &Evidence<'_>, leading: f64, decided: f64) -> Vec<String> {
    let mut changes = Vec::new();
    if leading > decided + 1.0 && decided >= evidence.cap.floor() {
        changes.push(format!(
            "without the cap of {} the proposal of {} could be followed",
            days(evidence.cap),
            days(leading)
        ));
    }
    changes
}

#[cfg(test)]
mod bounds_tests;
#[cfg(test)]
mod guardrails_tests;
#[cfg(test)]
mod in_doubt_tests;
#[cfg(test)]
mod properties;
#[cfg(test)]
mod tests;
