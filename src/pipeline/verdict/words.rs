/*! The five lines of a verdict. */

use super::Judged;
use crate::decisions::policy::Action;
use crate::drift::adoption::compare::{Adoption, Carry};
use crate::records::date;
use crate::thermometry::advice::AdviceKind;
use crate::words;

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
    let day = |day: f64| match date::iso(day.floor()).as_str() {
        "" => "no date".to_string(),
        day => day.to_string(),
    };
    let (when, action) = (day(decision.due_date), decision.action.word());
    let advised = judged.advice.as_ref().filter(|a| a.needs_person());
    let why = first_sentence(&decision.reason);
    let shorter = decision.interval_days - decision.current_interval_days;
    let by_interval_in_use = day(decision.due_date - shorter.max(0.0));
    match (decision.action, advised.map(|advice| advice.kind)) {
        (_, Some(AdviceKind::Withdraw)) => "Next: now (withdraw, as advised).".into(),
        (Action::Withdraw, _) => format!("Next: now (withdraw): {why}"),
        (_, Some(kind)) => {
            let (days, whose) = match shorter < 0.0 {
                true => (decision.interval_days, "decided"),
                false => (decision.current_interval_days, "in use"),
            };
            let first = format!("Next: {} first, as advised", kind.word());
            match days.is_finite() {
                true => format!(
                    "{first}; due {by_interval_in_use} by the {} {whose}, until a person has decided.",
                    words::days(days)
                ),
                false => format!("{first}; then a person decides on the interval."),
            }
        }
        // Outside its band yet not far off: of twenty good readings one is.
        (Action::Extend, None) if in_control == Some(false) => format!(
            "Next due: {by_interval_in_use} by the interval in use; {when} ({action}) once a repeated reading is in control: {why}"
        ),
        _ if why.to_lowercase().starts_with(action) => format!("Next due: {when}: {why}"),
        _ => format!("Next due: {when} ({action}): {why}"),
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
            format!("In doubt: {}; the last check is of {since}.", advice.impact)
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
    let sign = if value > 0.0 { "+" } else { "" };
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
    match value {
        none if none.is_nan() => "unknown".into(),
        f64::INFINITY => "no upper limit".into(),
        f64::NEG_INFINITY => "no lower limit".into(),
        value => words::significant(value, 4),
    }
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
