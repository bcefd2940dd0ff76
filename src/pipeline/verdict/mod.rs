/*! The verdict on one new reading: what it says beside the history that is stored.

The reading is first judged against the fit of the earlier checks, so that it does not
vouch for itself; then it joins the history, and the decision is made again.
*/

mod advice;
mod after;
pub mod session;
mod stored;
mod words;

use super::verdict::advice::thermometer_advice;
use super::verdict::after::before_and_after;
use super::verdict::words as verdict_words;
use crate::decisions::policy::{Action, Decision, PastDecision};
use crate::decisions::with_reading::{error, group_of, only};
use crate::drift::adoption::compare as adoption;
use crate::drift::adoption::compare::{Adoption, Carry, Stated, adopt};
use crate::drift::series::readings::Axis;
use crate::drift::{Fit, Prediction};
use crate::impact::jobs::Jobs;
use crate::impact::{Job, assess, summary, suspect_window};
use crate::records::append::check::NewCheck;
use crate::records::screening::alike::NearNames;
use crate::records::{DAYS_PER_YEAR, History};
use crate::settings::plan::Plan;
use crate::thermometry::advice::Advice;
use crate::words::count;
use serde::Serialize;

pub use super::named::find;
pub use super::verdict::stored::Stored;

/// What is said about one new reading. Numbers that cannot be given are absent.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verdict {
    /// What the session of raw readings came to, where the reading was reduced from one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub session: Option<String>,
    /// Instrument.
    pub instrument: String,
    /// Point.
    pub point: String,
    /// Unit of every error.
    pub unit: String,
    /// Date of the reading, ISO 8601.
    pub date: String,
    /// Error as found.
    pub error: f64,
    /// Its standard uncertainty.
    pub u: Option<f64>,
    /// Inside the prediction band of the earlier checks; absent where they predict nothing.
    pub in_control: Option<bool>,
    /// Inside the tolerance; absent where there is none.
    pub in_tolerance: Option<bool>,
    /// What the earlier checks predict.
    pub expected: Option<f64>,
    /// Prediction band for a reading.
    pub band: Option<(f64, f64)>,
    /// Change since the last check as left.
    pub change_since_last: Option<f64>,
    /// Change since the last calibration as left.
    pub change_since_calibration: Option<f64>,
    /// Drift per year with the new reading.
    pub drift_per_year: Option<f64>,
    /// What to carry: assigned, predicted or measured; for a thermometer also the advice.
    pub value: String,
    /// Action of the decision with the new reading.
    pub action: String,
    /// Next due date, ISO 8601; empty where none.
    pub due_date: String,
    /// Why, as a run with the reading in the records says it.
    pub reason: String,
    /// True where a person is needed.
    pub needs_person: bool,
    /// The five lines.
    pub lines: Vec<String>,
    /// Cautions that belong to them.
    pub cautions: Vec<&'static str>,
}

/// Everything the words are made of.
pub(super) struct Judged<'a> {
    pub history: History<'a>,
    pub check: &'a NewCheck,
    pub error: f64,
    pub tolerance: Option<crate::records::Tolerance>,
    pub forecast: Option<Prediction>,
    pub level: f64,
    pub last: Stated,
    pub last_date: f64,
    pub calibration: Stated,
    pub calibration_date: f64,
    pub adoption: Option<Adoption>,
    pub advice: Option<Advice>,
    pub fit_after: &'a Fit,
    pub decision: &'a Decision,
    pub doubt: Option<String>,
}

/// Judges `check`, a new reading of history `index`, whose earlier decisions are `past`.
///
/// # Errors
/// A reading older than the last check, without a value, or without use where the drift
/// runs over use.
pub fn verdict(
    plan: &Plan,
    stored: &Stored,
    index: usize,
    check: &NewCheck,
    past: &[PastDecision],
) -> Result<Verdict, String> {
    let settings = &plan.settings;
    let (group, place) = group_of(&stored.histories, index);
    let own = only(&group, &[place]);
    let history = own.get(0);
    refuse(check, &history, settings.drift.axis)?;
    let (before, after) = before_and_after(plan, &group, place, check, (stored, past));
    let (after_all, fit_after, decision) = (after.histories, after.fit, after.decision);
    let after_history = after_all.get(place);
    let nominal = if check.nominal.is_finite() {
        check.nominal
    } else {
        0.0
    };
    let found = error(check.as_found, nominal);
    let x = match settings.drift.axis {
        Axis::Time => check.date / DAYS_PER_YEAR,
        Axis::Usage => check.usage,
    };
    let last_row = history.len().saturating_sub(1);
    let calibration_date = history.last_calibration();
    let calibration_row = row_at(&history, calibration_date).unwrap_or(last_row);
    let calibration = stated(&history, calibration_row);
    let measured = Stated {
        value: found,
        u: if check.u.is_finite() {
            check.u
        } else {
            before.excess_u.max(0.0)
        },
    };
    let fits = adoption::Fits {
        before: &before,
        after: &fit_after,
    };
    let adoption = (measured.u > 0.0 && calibration.u.is_finite() && calibration.value.is_finite())
        .then(|| adopt(fits, x, measured, calibration, settings.drift.level));
    let forecast = before.at(x);
    let season = stored.season.as_ref();
    let advice = match season.filter(|_| stored.read_in) {
        Some(season) => season.advice(after_history.item).cloned(),
        None => thermometer_advice(
            &after_history,
            measured,
            calibration,
            forecast,
            &settings.thermometry,
            season,
        ),
    };
    let judged = Judged {
        history,
        check,
        error: found,
        tolerance: after_history.tolerance_at(after_history.len() - 1),
        forecast,
        level: settings.drift.level,
        last: stated(&history, last_row),
        last_date: history.date[last_row],
        calibration,
        calibration_date: history.date[calibration_row],
        adoption,
        advice,
        doubt: doubt(&after_history, &fit_after, &stored.jobs),
        fit_after: &fit_after,
        decision: &decision,
    };
    Ok(judged.verdict())
}

fn refuse(check: &NewCheck, history: &History<'_>, axis: Axis) -> Result<(), String> {
    let last = history.date.last().copied().unwrap_or(f64::NEG_INFINITY);
    if !check.as_found.is_finite() {
        return Err("the reading has no value".into());
    }
    if check.u < 0.0 || check.u_common < 0.0 {
        return Err("a standard uncertainty below 0 is impossible".into());
    }
    if check.date < last {
        let words = crate::records::date::iso(last);
        return Err(format!(
            "the last stored check is of {words}, after this reading; a verdict is for a new reading"
        ));
    }
    if axis == Axis::Usage && !check.usage.is_finite() {
        return Err("the drift runs over use; state the counter with --usage".into());
    }
    Ok(())
}

/// Row of the check on the day `date`; the last one before it otherwise.
fn row_at(history: &History<'_>, date: f64) -> Option<usize> {
    (0..history.len())
        .rev()
        .find(|&i| history.date[i].floor() <= date)
}

fn stated(history: &History<'_>, row: usize) -> Stated {
    Stated {
        value: history.left(row),
        u: history.u[row],
    }
}

fn doubt(history: &History<'_>, fit: &Fit, jobs: &Jobs) -> Option<String> {
    let window = suspect_window(history, fit)?;
    let since = window.good_since.map_or(
        "ever (never known good)".to_string(),
        crate::records::date::iso,
    );
    let own = history.item.instrument.as_str();
    let known = NearNames::of(std::iter::once(own));
    let near = |job: &&Job| job.instrument != own && !known.words(&job.instrument).is_empty();
    let unclear = jobs.unreadable.len() + jobs.jobs.iter().filter(near).count();
    let unclear = match unclear {
        0 => String::new(),
        n => format!(
            "; {} of the table cannot be read or has a name much like {own}: look at it",
            count(n, "row")
        ),
    };
    if jobs.jobs.is_empty() && jobs.unreadable.is_empty() {
        return Some(format!("work since {since}; no jobs table to name it"));
    }
    let doubts = assess(history, fit, &jobs.jobs);
    Some(match doubts.is_empty() {
        true => format!("work since {since}; no job of the table falls into that time{unclear}"),
        false => format!("work since {since}: {}{unclear}", summary(&doubts)),
    })
}

impl Judged<'_> {
    fn verdict(&self) -> Verdict {
        let known = |value: f64| value.is_finite().then_some(value);
        let band = self.forecast.map(|p| p.reading(self.level));
        let in_control = band.map(|(low, high)| low <= self.error && self.error <= high);
        let in_tolerance = self.tolerance.map(|t| t.contains(self.error));
        Verdict {
            session: None,
            instrument: self.history.item.instrument.clone(),
            point: self.history.item.point.clone(),
            unit: self.history.item.unit.clone(),
            date: crate::records::date::iso(self.check.date),
            error: self.error,
            u: known(self.check.u),
            in_control,
            in_tolerance,
            expected: self.forecast.and_then(|p| known(p.expected)),
            band,
            change_since_last: known(self.error - self.last.value),
            change_since_calibration: known(self.error - self.calibration.value),
            drift_per_year: known(self.fit_after.drift_per_year),
            value: verdict_words::value_word(self),
            action: self.decision.action.word().to_string(),
            due_date: crate::records::date::iso(self.decision.due_date.floor()),
            reason: self.decision.reason.clone(),
            needs_person: self.needs_person(in_control, in_tolerance),
            lines: verdict_words::lines(self, in_control, in_tolerance),
            cautions: self
                .advice
                .as_ref()
                .map_or_else(Vec::new, |a| a.cautions.clone()),
        }
    }

    fn needs_person(&self, in_control: Option<bool>, in_tolerance: Option<bool>) -> bool {
        let by_decision = matches!(self.decision.action, Action::Withdraw | Action::Review);
        let by_value = self
            .adoption
            .as_ref()
            .is_some_and(|a| a.carry == Carry::Measured);
        let by_advice = self.advice.as_ref().is_some_and(Advice::needs_person);
        in_control == Some(false)
            || in_tolerance == Some(false)
            || by_decision
            || by_value
            || by_advice
    }
}
