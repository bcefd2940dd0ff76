/*! The title of a history's chart: the fact that decides first, then how it moves, until when. */

use super::case::Case;
use crate::conformity::State;
use crate::decisions::policy::{Action, Decision};
use crate::drift::Status;
use crate::drift::series::readings::Axis;
use crate::records::{History, Outcome};
use crate::report::text;
use crate::thermometry::advice::AdviceKind;

/// Who it is, what decides about it, and until when it can be trusted.
pub(super) fn title(case: &Case<'_>) -> String {
    let name = case.history.item.name();
    let told = match case.decision.action {
        Action::Withdraw | Action::Review => alarm(case),
        _ => format!("{}{}", movement(case), until(case)),
    };
    format!("{name}: {told}")
}

/// Why a person has to look: what the record shows, else the rule that asks, which says so itself,
/// else how it moves.
fn alarm(case: &Case<'_>) -> String {
    let ends = match case.decision.action {
        Action::Withdraw => "not to be used as it is",
        _ => "a person has to decide",
    };
    let shown = alarming(&case.history, case.decision, case.advised);
    match (shown, case.decision.rules_fired.last()) {
        (Some(shown), _) => format!("{shown}; {ends}"),
        (None, Some(rule)) => text::with_minus_signs(rule.brief()),
        (None, None) => format!("{}; {ends}", movement(case)),
    }
}

/// Characters of a rule that a row has room for.
const MOST_TOLD: usize = 100;

/// What decided, in a few words for a row of the fleet's table.
pub(super) fn cause(
    history: &History<'_>,
    decision: &Decision,
    advised: Option<AdviceKind>,
) -> String {
    let person = decision.action.needs_person();
    let alarming = || alarming(history, decision, advised).filter(|_| person);
    let rule = || match person {
        true => asks(decision),
        // The figures stand in the row.
        false => Some(decision.rules_fired.last()?.brief().to_string()),
    };
    let method = || Some(format!("by {}", decision.method?.words()));
    let cause = alarming().or_else(rule).or_else(method);
    cause.map_or(String::new(), |words| text::with_minus_signs(&words))
}

/// The rule that turned the decision to a person, whole as far as there is room.
fn asks(decision: &Decision) -> Option<String> {
    let rule = decision.rules_fired.last()?;
    let whole = rule.words().chars().count() <= MOST_TOLD;
    Some(if whole { rule.words() } else { rule.brief() }.to_string())
}

fn alarming(
    history: &History<'_>,
    decision: &Decision,
    advised: Option<AdviceKind>,
) -> Option<String> {
    let sessions = || {
        let asks = |kind: &AdviceKind| !matches!(kind, AdviceKind::Keep | AdviceKind::Adopt);
        advised
            .filter(asks)
            .map(|kind| format!("its sessions advise to {}", kind.word()))
    };
    let limits = || {
        let none = history.item.tolerance.is_none();
        none.then(|| "no tolerance given".to_string())
    };
    failed(history)
        .or_else(|| unsure(decision))
        .or_else(sessions)
        .or_else(limits)
}

/// The last check, where it was found out of tolerance and nothing restored it.
fn failed(history: &History<'_>) -> Option<String> {
    let last = history.len().checked_sub(1)?;
    let left = history.as_left[last];
    let restored = left.is_finite() && left != history.as_found[last];
    if history.outcome[last] != Outcome::Out || restored {
        return None;
    }
    let day = text::iso_date(history.date[last]);
    let found = history.as_found[last];
    Some(match found.is_finite() {
        true => {
            let shown = text::size(found, history.u[last], &history.item.unit);
            format!("{shown} on {day} is out of tolerance")
        }
        false => format!("found out of tolerance on {day}"),
    })
}

/// The probability today, where the decision rule cannot state that the item conforms.
fn unsure(decision: &Decision) -> Option<String> {
    let now = decision.probability_now;
    let conforms = decision.conformity_now == State::Conforming;
    (!conforms && now.is_finite())
        .then(|| format!("probability in tolerance today {}", text::percent(now)))
}

/// How it moves, as far as its record tells.
fn movement(case: &Case<'_>) -> String {
    let (fit, unit) = (case.fit, &case.history.item.unit);
    let (drift, u) = (fit.drift_per_year, fit.u_drift_per_year);
    match fit.status {
        Status::Borrowed if drift.is_finite() => {
            format!(
                "drift borrowed from its class, {} a year",
                text::size(drift, u, unit)
            )
        }
        Status::Estimated if drift.is_finite() => {
            let swing = match fit.shows_annual_term() {
                true => ", swings with the year",
                false => "",
            };
            moves(drift, u, unit, case.axis) + swing
        }
        Status::OutcomesOnly => "kept as in or out of tolerance only".into(),
        Status::LevelOnly => "too few checks to estimate a drift".into(),
        Status::Undetermined => "its dates cannot tell a drift".into(),
        _ => "no drift could be estimated".into(),
    }
}

/// "rises 1.67 mK a year"; on an axis of use the year is that of the item's own rate of use.
fn moves(drift: f64, u: f64, unit: &str, axis: Axis) -> String {
    let year = match axis {
        Axis::Time => "a year",
        Axis::Usage => "in a year of its use",
    };
    let shown = text::size(drift.abs(), u, unit);
    if drift.abs() < 2.0 * u {
        format!("no clear drift ({} {year})", text::size(drift, u, unit))
    } else if drift > 0.0 {
        format!("rises {shown} {year}")
    } else {
        format!("falls {shown} {year}")
    }
}

/// When it is due. A change takes effect when a person approves it.
fn until(case: &Case<'_>) -> String {
    let due = case.decision.due_date;
    match (case.decision.action, due.is_finite()) {
        (_, false) => String::new(),
        (Action::Keep, true) => format!("; next calibration by {}", text::iso_date(due)),
        (_, true) => format!("; proposed due date {}", text::iso_date(due)),
    }
}
