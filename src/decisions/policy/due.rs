/*! The due date of a decision, and what is forecast for it. */

use super::decision::{Action, Decision};
use crate::intervals::{Evidence, Forecast};
use crate::words::date;

/// Once nothing changes the interval any more: says " Overdue since 2025-03-04." where the date
/// has passed on which the item in use was due, and by the interval decided too, or " Calibrate now." with the as-of date as the
/// due date where only the interval decided today ends before it.
pub(crate) fn end_with_due(evidence: &Evidence<'_>, decision: &mut Decision) {
    let (decided, as_of) = (decision.due_date, evidence.as_of);
    let away = evidence.history.item.status.is_away();
    let was_due = evidence.due_in_use();
    let withdrawn = decision.action == Action::Withdraw;
    if decided.is_nan() || decided >= as_of || withdrawn {
        return;
    }
    if was_due < as_of {
        decision.due_date = decided.max(was_due);
        // What is away is never overdue; that its date has passed is told with what is in force.
        decision.reason += &match decided > was_due {
            _ if away => String::new(),
            true => format!(
                " Overdue since {} by the interval in force, since {} by the longer one.",
                date(was_due),
                date(decided)
            ),
            false => format!(" Overdue since {}.", date(was_due)),
        };
    } else {
        decision.due_date = as_of;
        let ended = date(decided);
        let when = match away {
            true => "before it serves again",
            false => "now",
        };
        decision.reason += &match decision.interval_days == evidence.current_interval {
            true => {
                format!(" Calibrate {when}: when they were put in force they had ended on {ended}.")
            }
            false => format!(
                " Calibrate {when}: the interval decided today ended on {ended}; by the one in use the item is due on {}.",
                date(was_due)
            ),
        };
    }
    decision.assigned_date = decision.due_date;
    forecast_for(
        evidence,
        decision,
        decision.due_date - evidence.last_calibration,
    );
}

/// Makes the as-of date the due date, with what is forecast for it.
pub(crate) fn due_now(evidence: &Evidence<'_>, decision: &mut Decision) {
    decision.due_date = evidence.as_of;
    decision.assigned_date = evidence.as_of;
    let elapsed = evidence.as_of - evidence.last_calibration;
    forecast_for(evidence, decision, elapsed);
}

/// Gives the decision the interval of `days`, with its due date and what is forecast for it.
pub(super) fn set_interval(evidence: &Evidence<'_>, decision: &mut Decision, days: f64) {
    decision.interval_days = days;
    decision.due_date = evidence.last_calibration + days;
    decision.assigned_date = decision.due_date;
    forecast_for(evidence, decision, days);
}

/// Gives the decision what is forecast for `days` after the last calibration.
fn forecast_for(evidence: &Evidence<'_>, decision: &mut Decision, days: f64) {
    let forecast = Forecast::unused(evidence).ok();
    let at_due = forecast.and_then(|f| f.at(days));
    let band = at_due.map_or((f64::NAN, f64::NAN), |p| p.reading(evidence.level));
    let probability = forecast.and_then(|f| f.probability_in(days));
    decision.predicted_error = at_due.map_or(f64::NAN, |p| p.expected);
    (decision.band_lower, decision.band_upper) = band;
    let probability = probability.filter(|_| !decision.level_in_doubt);
    decision.probability_in_tolerance = probability.unwrap_or(f64::NAN);
}
