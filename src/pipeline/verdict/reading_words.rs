/*! The first line of a verdict: the reading, its control and its conformity. */

use super::control::Control;
use super::figures::{figure, with_unit};
use super::judged::Judged;
use crate::conformity::State;
use crate::records::date;

/// Why nothing is stated of the control of a reading that is the first of its item, or all but.
pub(super) const PREDICT_NOTHING: &str = "the earlier checks predict nothing";

/// Where the reading lies about the prediction, and what that asks for.
fn control(judged: &Judged<'_>) -> String {
    let (Some(p), Some(limits)) = (judged.forecast, judged.limits) else {
        return format!("allows no statement on control: {PREDICT_NOTHING}");
    };
    let expected = with_unit(judged, p.expected);
    let band = |(low, high): (f64, f64), level: f64| {
        let level = figure(100.0 * level);
        format!("{} to {} ({level} %)", figure(low), figure(high))
    };
    let warning = band(limits.warning, limits.warning_level);
    let action = band(limits.action, limits.action_level);
    let first = |asked: &'static str| match judged.withdrawn() {
        true => "",
        false => asked,
    };
    if let Some(why) = judged.waits_for() {
        let unstated = match judged.against {
            Some(_) => {
                "allows no statement on control before a person has judged what is said next".into()
            }
            None => format!("allows no statement on control, since {why}"),
        };
        return match limits.control {
            Control::Inside | Control::Warning => format!(
                "{unstated} (the earlier checks predict {expected}, warning limits {warning})"
            ),
            Control::Action => format!(
                "{unstated}, and lies outside even the action limits {action} about the predicted {expected}{}",
                first(": repeat the reading before any use")
            ),
        };
    }
    match limits.control {
        Control::Inside => {
            format!(
                "is in control: the earlier checks predict {expected}, warning limits {warning}"
            )
        }
        Control::Warning => format!(
            "is at WARNING, outside {warning} and inside the action limits {action} about the predicted {expected}: one good reading in {} lies there, and a second one tells",
            figure((1.0 / (1.0 - limits.warning_level)).round())
        ),
        Control::Action => format!(
            "is NOT in control, outside the action limits {action} about the predicted {expected}{}",
            first(": stop, repeat the reading and find out why before any use")
        ),
    }
}

/// What is stated of the reading by the tolerance and the decision rule.
fn conformity(judged: &Judged<'_>, in_tolerance: Option<bool>) -> String {
    let Some(t) = judged.tolerance else {
        let why = judged.against.iter();
        return why.fold("no tolerance known".into(), |words, why| {
            format!("{words}, and {why}")
        });
    };
    let range = format!("{} to {}", figure(t.lower()), figure(t.upper()));
    let by_value = match in_tolerance {
        Some(true) => "in tolerance",
        _ => "OUT OF TOLERANCE",
    };
    match &judged.conformity {
        Some(stated) if stated.state == State::Indeterminate => {
            format!("{by_value} by its value ({range}), but {}", stated.words)
        }
        Some(stated) if judged.against.is_some() => {
            format!("{by_value} by its value alone ({range}), {}", stated.words)
        }
        Some(stated) if stated.state != State::Unknown => {
            format!("{by_value} ({range}), {}", stated.words)
        }
        _ => format!("{by_value} ({range})"),
    }
}

pub(super) fn reading(judged: &Judged<'_>, in_tolerance: Option<bool>) -> String {
    let item = judged.history.item;
    let u = if judged.check.u.is_finite() {
        format!("u = {}", figure(judged.check.u))
    } else {
        "u not stated".to_string()
    };
    format!(
        "{}, {}: {} ({u}) {}; {}.",
        item.name(),
        date::iso(judged.check.date),
        with_unit(judged, judged.error),
        control(judged),
        conformity(judged, in_tolerance)
    )
}
