/*! The five lines of a verdict. */

use super::verdict::Judged;
use crate::drift::adoption::{Adoption, Carry};
use crate::intervals::Action;
use crate::records::date;

/// One word for what to carry; a thermometer's advice where there is one.
pub(super) fn value_word(judged: &Judged<'_>) -> String {
    if let Some(advice) = &judged.advice {
        return advice.kind.word().to_string();
    }
    match judged.adoption.as_ref().map(|a| a.carry) {
        Some(Carry::Assigned) => "assigned",
        Some(Carry::Predicted) => "predicted",
        Some(Carry::Measured) => "measured",
        None => "unknown",
    }
    .to_string()
}

/// The five lines: the reading, its drift, the value to carry, the next date, the doubt.
pub(super) fn lines(
    judged: &Judged<'_>,
    in_control: Option<bool>,
    in_tolerance: Option<bool>,
) -> Vec<String> {
    vec![
        reading(judged, in_control, in_tolerance),
        drift(judged),
        value(judged),
        due(judged, in_control),
        doubt(judged, in_control),
    ]
}

fn reading(judged: &Judged<'_>, in_control: Option<bool>, in_tolerance: Option<bool>) -> String {
    let item = judged.history.item;
    let control = match (judged.forecast, in_control) {
        (Some(p), Some(inside)) => {
            let (low, high) = p.reading(judged.level);
            format!(
                "{}: the earlier checks predict {}, band {} to {} ({} %)",
                if inside {
                    "in control"
                } else {
                    "NOT in control"
                },
                with_unit(judged, p.expected),
                figure(low),
                figure(high),
                figure(100.0 * judged.level)
            )
        }
        _ => "no statement on control: the earlier checks predict nothing".to_string(),
    };
    let tolerance = match (judged.tolerance, in_tolerance) {
        (Some(t), Some(true)) => format!(
            "in tolerance ({} to {})",
            figure(t.lower()),
            figure(t.upper())
        ),
        (Some(t), _) => format!(
            "OUT OF TOLERANCE ({} to {})",
            figure(t.lower()),
            figure(t.upper())
        ),
        (None, _) => "no tolerance known".to_string(),
    };
    let u = if judged.check.u.is_finite() {
        format!("u = {}", figure(judged.check.u))
    } else {
        "u not stated".to_string()
    };
    let name = match item.point.as_str() {
        "" => item.instrument.clone(),
        point => format!("{}, {point}", item.instrument),
    };
    format!(
        "{name}, {}: {} ({u}) is {control}; {tolerance}.",
        date::iso(judged.check.date),
        with_unit(judged, judged.error)
    )
    .replace("is no statement", "allows no statement")
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
    let calibration = (judged.calibration.value, judged.calibration_date);
    let changes = if calibration == (judged.last.value, judged.last_date) {
        since(calibration.0, calibration.1, "last check, the calibration")
    } else {
        format!(
            "{}; {}",
            since(judged.last.value, judged.last_date, "last check"),
            since(calibration.0, calibration.1, "calibration")
        )
    };
    format!("Drift: {changes}; {rate}.")
}

fn value(judged: &Judged<'_>) -> String {
    let advice = judged
        .advice
        .as_ref()
        .map(|a| format!("{}: {} [{}]", a.kind.word(), a.reason, a.source));
    let adoption = judged.adoption.as_ref().map(Adoption::reason);
    match (advice, adoption) {
        (Some(advice), _) => format!("Value: {advice}."),
        (None, Some(reason)) => format!("Value: {reason}."),
        (None, None) => "Value: no comparison with the assigned value: its uncertainty or that of the reading is not stated.".into(),
    }
}

fn due(judged: &Judged<'_>, in_control: Option<bool>) -> String {
    let decision = judged.decision;
    let when = match date::iso(decision.due_date).as_str() {
        "" => "no date".to_string(),
        day => day.to_string(),
    };
    if decision.action == Action::Withdraw {
        return format!("Next: now (withdraw): {}", decision.reason);
    }
    let action = decision.action.word();
    if in_control == Some(false) && decision.action == Action::Extend {
        // Outside its band yet not far off: of twenty good readings one is.
        let shorter = decision.interval_days - decision.current_interval_days;
        let today = date::iso(decision.due_date - shorter);
        return format!(
            "Next due: {today} by the interval in use; {when} ({action}) once a repeated reading is in control: {}",
            decision.reason
        );
    }
    format!("Next due: {when} ({action}): {}", decision.reason)
}

fn doubt(judged: &Judged<'_>, in_control: Option<bool>) -> String {
    if let Some(words) = &judged.doubt {
        return format!("In doubt: {words}.");
    }
    let since = date::iso(judged.last_date);
    match &judged.advice {
        Some(advice)
            if !advice.impact.is_empty()
                && (in_control == Some(false) || advice.needs_person()) =>
        {
            format!("In doubt: {} ({since}).", advice.impact)
        }
        _ if in_control == Some(false) => format!(
            "In doubt: work since the last check on {since}, until the reading is repeated; its change is {}.",
            signed(judged, judged.error - judged.last.value)
        ),
        _ => "In doubt: nothing.".to_string(),
    }
}

fn with_unit(judged: &Judged<'_>, value: f64) -> String {
    join_unit(figure(value), &judged.history.item.unit)
}

fn signed(judged: &Judged<'_>, value: f64) -> String {
    let sign = if value >= 0.0 { "+" } else { "" };
    join_unit(
        format!("{sign}{}", figure(value)),
        &judged.history.item.unit,
    )
}

fn join_unit(number: String, unit: &str) -> String {
    if unit.is_empty() {
        number
    } else {
        format!("{number} {unit}")
    }
}

/// Four significant figures without trailing zeros; ∞ in words.
fn figure(value: f64) -> String {
    const FIGURES: i32 = 4;
    if value.is_infinite() {
        return if value > 0.0 {
            "no upper limit"
        } else {
            "no lower limit"
        }
        .into();
    }
    if value == 0.0 || !value.is_finite() {
        return value.to_string();
    }
    let magnitude = value.abs().log10().floor() as i32;
    let decimals = (FIGURES - 1 - magnitude).clamp(0, 12) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    } else {
        text
    }
}
