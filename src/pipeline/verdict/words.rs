/*! The five lines of a verdict. */

use super::control::Control;
use super::figures::{figure, signed, with_unit};
use super::judged::Judged;
use super::reading_words::reading;
use crate::conformity::State;
use crate::decisions::policy::Action;
use crate::drift::adoption::compare::{Adoption, Carry};
use crate::records::date;
use crate::thermometry::advice::AdviceKind;

/// One word for what to carry; a thermometer's advice where there is one and nothing speaks against it.
pub(super) fn value_word(judged: &Judged<'_>) -> &'static str {
    let advised = judged.advised().filter(|kind| match kind {
        AdviceKind::Withdraw => true,
        AdviceKind::Adopt if judged.control() == Some(Control::Action) => false,
        _ => !judged.withdrawn(),
    });
    let carry = judged.adoption.as_ref().map(|adoption| adoption.carry);
    match (advised, carry) {
        (Some(kind), _) => kind.word(),
        (None, _) if judged.advice.is_some() => "unconfirmed",
        (None, Some(Carry::Assigned)) => "assigned",
        (None, Some(Carry::Predicted)) => "predicted",
        (None, Some(Carry::Unconfirmed)) => "unconfirmed",
        (None, None) => "unknown",
    }
}

/// The five lines: the reading, its drift, the value to carry, the next date, the doubt.
pub(super) fn lines(judged: &Judged<'_>, in_tolerance: Option<bool>) -> Vec<String> {
    vec![
        reading(judged, in_tolerance),
        drift(judged),
        value(judged),
        due(judged),
        doubt(judged, in_tolerance),
    ]
}

fn drift(judged: &Judged<'_>) -> String {
    let since = |value: f64, day: f64, what: &str| {
        let change = judged.error - value;
        if change.is_finite() {
            format!(
                "{} since the {what} on {}",
                signed(judged, change),
                date::iso(day)
            )
        } else {
            format!("no value at the {what} on {}", date::iso(day))
        }
    };
    let rate = judged.fit_after.drift_per_year;
    let rate = if rate.is_finite() {
        format!(
            "{} per year with this reading (u = {})",
            signed(judged, rate),
            figure(judged.fit_after.u_drift_per_year)
        )
    } else {
        format!("no rate: {}", judged.fit_after.status.words())
    };
    let calibration = (
        judged.earlier.calibration.value,
        judged.earlier.calibration_date,
    );
    let changes = if calibration == (judged.earlier.last.value, judged.earlier.last_date) {
        since(calibration.0, calibration.1, "last check, the calibration")
    } else {
        format!(
            "{}; {}",
            since(
                judged.earlier.last.value,
                judged.earlier.last_date,
                "last check"
            ),
            since(calibration.0, calibration.1, "calibration")
        )
    };
    // A slow creep hides in changes since the last check: it shows since the value was set.
    let started = match judged.earlier.certified {
        true => "value that the certificate assigns",
        false => "value was set or first read",
    };
    let started = match (judged.earlier.start.value, judged.earlier.start_date) {
        start
            if start == calibration
                || start == (judged.earlier.last.value, judged.earlier.last_date) =>
        {
            String::new()
        }
        (value, day) => format!("; {}{}", since(value, day, started), shown(judged)),
    };
    format!("Drift: {changes}{started}; {rate}.")
}

/// Whether the change since the start is more than its uncertainty explains (k = 2).
fn shown(judged: &Judged<'_>) -> String {
    let u = judged.check.u.hypot(judged.earlier.start.u);
    let change = judged.error - judged.earlier.start.value;
    if !(u.is_finite() && change.is_finite()) {
        return String::new();
    }
    let expanded = with_unit(judged, 2.0 * u);
    match change.abs() > 2.0 * u {
        true => format!(", more than its U = {expanded}"),
        false => format!(", within its U = {expanded}"),
    }
}

fn value(judged: &Judged<'_>) -> String {
    let carried = judged.adoption.as_ref().map(Adoption::reason);
    if let (None, Some(why)) = (&judged.advice, judged.waits_for()) {
        return format!("Value: carry no value before a person has judged it: {why}.");
    }
    match (&judged.advice, carried) {
        (Some(advice), _) if value_word(judged) == advice.kind.word() => {
            let word = advice.kind.word();
            format!("Value: {word}: {} [{}].", advice.reason, advice.source)
        }
        (Some(_), _) => {
            "Value: carry no value before a repeated reading has confirmed it.".into()
        }
        (None, Some(reason)) => format!(
            "Value: {}; {reason}.",
            judged.earlier.assignment.assigned(&judged.history.item.unit)
        ),
        (None, None) => "Value: no comparison with the assigned value: its uncertainty or that of the reading is not stated.".into(),
    }
}

/// One action and one date.
fn due(judged: &Judged<'_>) -> String {
    let decision = judged.decision;
    let (action, day) = judged.action();
    let why = first_sentence(&decision.reason);
    let written = |day: f64| match date::iso(day.floor()).as_str() {
        "" => "no date".to_string(),
        day => day.to_string(),
    };
    // What is proposed counts from the day on which a person approves it.
    let (counts, proposed) = match judged.due_in_force() {
        Some(in_force) => (in_force, format!("; {} once approved", written(day))),
        None => (day, String::new()),
    };
    let when = written(counts) + &proposed;
    let head = match (action, counts < judged.check.date.floor()) {
        (Action::Withdraw, _) => "Next: now".to_string(),
        (_, true) => format!("Overdue since {when}"),
        (_, false) => format!("Next due: {when}"),
    };
    match why.to_lowercase().starts_with(action.word()) {
        true if action != Action::Withdraw => format!("{head}: {why}"),
        _ => format!("{head} ({}): {why}", action.word()),
    }
}

/// What stands before the first full stop that another sentence follows; the reason as a whole
/// is in the JSON.
fn first_sentence(reason: &str) -> &str {
    let ends = reason.match_indices(". ").find(|(at, _)| {
        let next = reason[at + 2..].chars().next();
        next.is_some_and(|letter| letter.is_uppercase() || letter.is_ascii_digit())
    });
    ends.map_or(reason, |(at, _)| &reason[..=at])
}

fn doubt(judged: &Judged<'_>, in_tolerance: Option<bool>) -> String {
    if let Some(words) = &judged.failed_work {
        return format!("In doubt: {words}.");
    }
    let uncontrolled = judged.control() == Some(Control::Action);
    let unstated = matches!(judged.state(), State::Indeterminate | State::Nonconforming);
    let advised = judged.advice.as_ref().filter(|a| !a.impact.is_empty());
    let advised = advised.filter(|a| uncontrolled || unstated || a.needs_person());
    let impact = advised.map_or(String::new(), |a| format!("; {}", a.impact));
    let until = match (unstated || in_tolerance == Some(false), uncontrolled) {
        (true, _) => "until a person has decided",
        (false, true) => "until the reading is repeated",
        (false, false) if impact.is_empty() => return "In doubt: nothing.".into(),
        (false, false) => "until a person has decided",
    };
    format!("In doubt {until}: {}{impact}.", judged.work_since_good)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_short() {
        assert_eq!(figure(1e308), "1.000e308");
        assert_eq!(figure(-0.012_36), "-0.01236");
        assert_eq!(figure(f64::INFINITY), "no upper limit");
        assert_eq!(figure(f64::NAN), "unknown");
    }

    #[test]
    fn the_first_sentence_ends_at_a_full_stop_before_another() {
        let reason = "Keep 365 d: 1.9 mK of G. x lies outside (k = 2). By the fit alone: Extend.";
        assert_eq!(
            first_sentence(reason),
            "Keep 365 d: 1.9 mK of G. x lies outside (k = 2)."
        );
        assert_eq!(first_sentence("Extend."), "Extend.");
        assert_eq!(first_sentence(""), "");
    }
}
