/*! The verdict on one new reading: what it says beside the history that is stored.

The reading is first judged against the fit of the earlier checks, so that it does not
vouch for itself; then it joins the history, and the decision is made again.
*/

mod after;
mod at_risk;
mod beside;
mod control;
mod earlier;
mod figures;
mod judged;
mod reading_words;
pub(crate) mod session;
mod stored;
mod together;
mod words;

use super::verdict::after::before_and_after;
use super::verdict::control::{Control, Limits};
use super::verdict::earlier::Earlier;
use super::verdict::judged::Judged;
use super::verdict::reading_words::PREDICT_NOTHING;
use super::verdict::words as verdict_words;
use crate::conformity::{State, decide};
use crate::decisions::policy::PastDecision;
use crate::decisions::with_reading::{as_read, error, group_of, selected};
use crate::drift::Prediction;
use crate::drift::adoption::compare as adoption;
use crate::drift::adoption::compare::{Adoption, Stated, adopt};
use crate::drift::series::readings::Axis;
use crate::records::append::check::NewCheck;
use crate::records::{DAYS_PER_YEAR, History};
use crate::settings::file::Settings;
use crate::settings::plan::Plan;
use serde::Serialize;

pub(crate) use super::named::find;
pub(crate) use super::verdict::beside::{OnDay, points_withdrawn, tell_points};
pub(crate) use super::verdict::stored::Stored;
pub(crate) use super::verdict::together::{Visit, beside_visits};

/// What is said about one new reading. Numbers that cannot be given are absent.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct Verdict {
    /// What the session of raw readings came to, where the reading was reduced from one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub session: Option<String>,
    pub instrument: String,
    pub point: String,
    /// Unit of every error.
    pub unit: String,
    /// Date of the reading, ISO 8601.
    pub date: String,
    /// Error as found.
    pub error: f64,
    /// Its standard uncertainty.
    pub u: Option<f64>,
    /// Inside the action limits about what the earlier checks predict; absent where they predict
    /// nothing, and while a person has to judge them or the session first.
    pub in_control: Option<bool>,
    /// In control, at warning (repeat the reading) or beyond the action limits.
    pub control: Option<Control>,
    /// Why nothing is stated of its control; absent where it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub control_missing: Option<String>,
    /// Inside the tolerance, by the value alone; absent where there is none.
    pub in_tolerance: Option<bool>,
    /// What the decision rule states of the reading by itself.
    pub conformity: State,
    /// Probability that the true error is in tolerance, by the reading itself.
    pub probability_in_tolerance: Option<f64>,
    /// The same with all checks, this one included.
    pub probability_now: Option<f64>,
    /// What the decision rule states with all checks.
    pub conformity_now: State,
    /// What the earlier checks predict.
    pub expected: Option<f64>,
    /// Warning limits: the prediction band for a reading.
    pub band: Option<(f64, f64)>,
    /// Action limits, at 99.7 %.
    pub action_limits: Option<(f64, f64)>,
    /// Change since the last check as left.
    pub change_since_last: Option<f64>,
    /// Change since the last calibration as left.
    pub change_since_calibration: Option<f64>,
    /// Drift per year with the new reading.
    pub drift_per_year: Option<f64>,
    /// Change since the value that the certificate in force states, else since the first check or the
    /// last event that set the value.
    pub change_since_start: Option<f64>,
    /// What to carry: assigned, predicted or unconfirmed (nothing, also where it is withdrawn); for a
    /// thermometer also the advice.
    pub value: String,
    /// The one action, by the decision with the new reading.
    pub action: String,
    /// Its date, ISO 8601: when next due, the day of the reading for a withdrawal; empty where none.
    pub due_date: String,
    /// When it is due by the interval in force, where that date is another one, since the interval
    /// waits for a person.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub in_force_due: Option<String>,
    /// Why, as a run with the reading in the records says it.
    pub reason: String,
    /// True where a person is needed.
    pub needs_person: bool,
    /// What is said where other points of the instrument are withdrawn.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instrument_withdrawn: Option<String>,
    /// The five lines, and one of the instrument where other points of it are withdrawn.
    pub lines: Vec<String>,
    /// Cautions that belong to them.
    pub cautions: Vec<&'static str>,
}

/// Why a new reading is not judged.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub(crate) enum NoVerdict {
    /// It has no value.
    #[error("the reading has no value")]
    NoReading,
    /// Its u or shared u is below 0.
    #[error("a standard uncertainty below 0 is impossible")]
    NegativeU,
    /// It is older than the last check, of this day since 1970-01-01.
    #[error(
        "the last stored check is of {}, after this reading; a verdict is for a new reading",
        crate::records::date::iso(*last)
    )]
    Old {
        /// Day of the last check.
        last: f64,
    },
    /// The drift runs over use, and the reading states none.
    #[error("the drift runs over use; state the counter with --usage")]
    NoUse,
}

/// Where a check stands on the axis of the drift, years or use.
fn place_on(axis: Axis, check: &NewCheck) -> f64 {
    match axis {
        Axis::Time => check.date / DAYS_PER_YEAR,
        Axis::Usage => check.usage,
    }
}

/// The error that a check found; where it states no u, by the scatter of those before.
fn measured(check: &NewCheck, excess_u: f64) -> Stated {
    let nominal = Some(check.nominal).filter(|nominal| nominal.is_finite());
    Stated {
        value: error(check.as_found, nominal.unwrap_or(0.0)),
        u: match check.u.is_finite() {
            true => check.u,
            false => excess_u.max(0.0),
        },
    }
}

/// Whether the value found takes the place of the one in use; `None` where one of them is not known with its u.
fn compared(
    fits: adoption::Fits<'_>,
    x: f64,
    (measured, assigned): (Stated, Stated),
    level: f64,
) -> Option<Adoption> {
    let known = measured.u > 0.0 && assigned.u.is_finite() && assigned.value.is_finite();
    known.then(|| adopt(fits, x, measured, assigned, level))
}

/// Control limits about what is forecast of the error `found`.
fn limits_about(forecast: Option<Prediction>, settings: &Settings, found: f64) -> Option<Limits> {
    let levels = (settings.drift.level, settings.policy.far_off);
    forecast.map(|p| Limits::about(&p, levels, found))
}

/// Judges `check`, a new reading of history `index`, whose earlier decisions are `past`.
///
/// # Errors
/// A reading older than the last check, without a value, or without use where the drift
/// runs over use.
pub(crate) fn verdict(
    plan: &Plan,
    stored: &Stored,
    index: usize,
    check: &NewCheck,
    past: &[PastDecision],
) -> Result<Verdict, NoVerdict> {
    let settings = &plan.settings;
    let (group, place) = group_of(&stored.histories, index);
    let own = selected(&group, &[place]);
    let history = own.get(0);
    refuse(check, &history, settings.drift.axis)?;
    let check = &as_read(check, history.item);
    let (before, after) = before_and_after(plan, &group, place, check, (stored, past));
    let measured = measured(check, before.excess_u);
    let found = measured.value;
    let earlier = Earlier::of(stored, index, &history);
    let x = place_on(settings.drift.axis, check);
    let forecast = before.at(x);
    let limits = limits_about(forecast, settings, found);
    let fits = adoption::Fits {
        before: &before,
        after: &after.fit,
    };
    let mut adoption = compared(fits, x, (measured, earlier.assigned), settings.drift.level);
    if !after.confirms(limits.as_ref()) {
        adoption = adoption.map(Adoption::unconfirmed);
    }
    // To keep or adopt what an earlier session found says nothing of this reading.
    let advice = after
        .advice
        .filter(|advice| stored.read_in || after.of_check || advice.needs_person());
    let after_history = after.histories.get(place);
    let tolerance = after_history.tolerance_at(after_history.len().saturating_sub(1));
    let rule = settings.conformity.decision_rule();
    let jobs = (&stored.jobs, &stored.histories);
    let u = u_of_reading(check, measured.u);
    let by_rule = tolerance.map(|t| decide(found, u, t, &rule));
    let conformity =
        by_rule.map(|own| after.against.iter().fold(own, |own, why| own.withheld(why)));
    let judged = Judged {
        history,
        check,
        error: found,
        tolerance,
        conformity,
        against: after.against,
        unsettled: after.unsettled,
        limits,
        forecast,
        earlier,
        adoption,
        advice,
        failed_work: at_risk::after_failure(&after_history, &after.fit, &rule, jobs),
        work_since_good: at_risk::until_decided(&history, check.date, &rule, jobs),
        fit_after: &after.fit,
        decision: &after.decision,
    };
    Ok(said(&judged))
}

fn refuse(check: &NewCheck, history: &History<'_>, axis: Axis) -> Result<(), NoVerdict> {
    let last = history.date.last().copied().unwrap_or(f64::NEG_INFINITY);
    if !check.as_found.is_finite() {
        return Err(NoVerdict::NoReading);
    }
    if check.u < 0.0 || check.u_common < 0.0 {
        return Err(NoVerdict::NegativeU);
    }
    if check.date < last {
        return Err(NoVerdict::Old { last });
    }
    if axis == Axis::Usage && !check.usage.is_finite() {
        return Err(NoVerdict::NoUse);
    }
    Ok(())
}

/// Standard uncertainty of the reading as an estimate of the true error; NaN where nothing
/// states it.
fn u_of_reading(check: &NewCheck, random: f64) -> f64 {
    let shared = Some(check.u_common).filter(|u| u.is_finite());
    let u = random.hypot(shared.unwrap_or(0.0));
    if u > 0.0 || check.u.is_finite() {
        u
    } else {
        f64::NAN
    }
}

/// The verdict in figures and words.
fn said(judged: &Judged<'_>) -> Verdict {
    let known = |value: f64| value.is_finite().then_some(value);
    let in_tolerance = judged.tolerance.map(|t| t.contains(judged.error));
    let probability = judged.conformity.as_ref().map(|c| c.probability);
    let (action, day) = judged.action();
    Verdict {
        session: None,
        instrument: judged.history.item.instrument.clone(),
        point: judged.history.item.point.clone(),
        unit: judged.history.item.unit.clone(),
        date: crate::records::date::iso(judged.check.date),
        error: judged.error,
        u: known(judged.check.u),
        in_control: judged
            .stated_control()
            .map(|control| control != Control::Action),
        control: judged.stated_control(),
        control_missing: match judged.limits {
            Some(_) => judged.waits_for().map(String::from),
            None => Some(PREDICT_NOTHING.into()),
        },
        in_tolerance,
        conformity: judged.state(),
        probability_in_tolerance: probability.and_then(known),
        probability_now: known(judged.decision.probability_now),
        conformity_now: judged.decision.conformity_now,
        expected: judged.forecast.and_then(|p| known(p.expected)),
        band: judged.limits.map(|limits| limits.warning),
        action_limits: judged.limits.map(|limits| limits.action),
        change_since_last: known(judged.error - judged.earlier.last.value),
        change_since_calibration: known(judged.error - judged.earlier.calibration.value),
        change_since_start: known(judged.error - judged.earlier.start.value),
        drift_per_year: known(judged.fit_after.drift_per_year),
        value: verdict_words::value_word(judged).to_string(),
        action: action.word().to_string(),
        due_date: crate::records::date::iso(day.floor()),
        in_force_due: judged
            .due_in_force()
            .map(|day| crate::records::date::iso(day.floor())),
        reason: judged.decision.reason.clone(),
        needs_person: action.needs_person(),
        instrument_withdrawn: None,
        lines: verdict_words::lines(judged, in_tolerance),
        cautions: judged
            .advice
            .as_ref()
            .map_or_else(Vec::new, |a| a.cautions.clone()),
    }
}
