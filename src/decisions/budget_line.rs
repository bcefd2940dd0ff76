/*! What is an item's value on a day, and how sure: the line of an uncertainty budget.

The expected error and its standard uncertainty come from the item's own forecast; the uncertainty
is split into what the calibrations left unknown, what the drift adds since, wander, the risk of a
sudden step and the part that all checks share with the reference. The step risk is the variance of
a step of the class times the probability of one by then; a forecast's band leaves it out, a budget
has no other place for it. Left uncorrected, the error adds in squares. For a whole interval one mean correction may
serve, with the variance of the error about it: JCGM 100:2008, F.2.4.5.
*/

use super::no_value::NoValue;
use super::policy::{Action, Decision};
use super::stage::DecisionStage;
use crate::control::ControlState;
use crate::drift::{Course, Fit, Prediction};
use crate::records::{MOST_DAYS, Role};
use crate::thermometry::advice::AdviceKind;
use crate::words::date;

/// Panels of Simpson's rule over an interval, even: the error is all but a straight line.
const PANELS: usize = 32;

/// One mean correction for a whole interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct OverInterval {
    /// First and last day.
    pub days: (f64, f64),
    /// Mean error.
    pub expected: f64,
    /// Standard uncertainty of a value corrected by it on any day of the interval.
    pub u: f64,
}

/// The value of an item on one day, in the history's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct BudgetLine {
    pub day: f64,
    /// Expected error; the correction is its negative.
    pub expected: f64,
    /// What the calibrations left unknown of the level.
    pub u_calibration: f64,
    /// What the drift adds since the last reading.
    pub u_drift: f64,
    /// What wander adds.
    pub u_wander: f64,
    /// What the risk of a sudden step adds.
    pub u_step: f64,
    /// What all checks share with the reference.
    pub u_common: f64,
    /// Degrees of freedom; infinite where a normal distribution applies.
    pub degrees_of_freedom: f64,
    /// One mean correction until the due date in force; `None` beyond it.
    pub interval: Option<OverInterval>,
}

impl BudgetLine {
    /// Standard uncertainty of a value corrected for the expected error.
    pub(crate) fn u_corrected(&self) -> f64 {
        let parts = [self.u_drift, self.u_wander, self.u_step, self.u_common];
        parts
            .iter()
            .fold(self.u_calibration, |sum, u| sum.hypot(*u))
    }

    /// Standard uncertainty of a value in which the error was left.
    pub(crate) fn u_uncorrected(&self) -> f64 {
        self.u_corrected().hypot(self.expected)
    }

    /// The distribution in a word.
    pub(crate) fn distribution(&self) -> &'static str {
        match self.degrees_of_freedom.is_infinite() {
            true => "normal",
            false => "student_t",
        }
    }
}

impl DecisionStage<'_> {
    /// The value of history `index` on `day`, whose decision is `decision`.
    ///
    /// # Errors
    /// Why nothing can be said.
    pub(crate) fn value_on(
        &self,
        index: usize,
        decision: &Decision,
        day: f64,
    ) -> Result<BudgetLine, NoValue> {
        self.may_state(index, decision, day)?;
        let history = self.histories.get(index);
        let fit = &self.fits.fits[index];
        let course = Course::of(fit, &history, self.drift.axis)?;
        let step = self.step_variance(index);
        let line = line_on(fit, &course, step, day).ok_or(NoValue::NoForecast(fit.status))?;
        let from = history.date.last().copied().unwrap_or(f64::NAN);
        // Until it is approved, no proposal lengthens the time that a value has to serve.
        let due = decision.act_on();
        let interval = over_interval(fit, &course, step, (from, due));
        Ok(BudgetLine {
            interval: interval.filter(|_| day <= due),
            ..line
        })
    }

    /// The value of history `index` on each of `days`, which ascend, without that of the interval.
    ///
    /// # Errors
    /// Why nothing can be said.
    pub(crate) fn values_on(
        &self,
        index: usize,
        decision: &Decision,
        days: &[f64],
    ) -> Result<Vec<BudgetLine>, NoValue> {
        for day in days.first().into_iter().chain(days.last()) {
            self.may_state(index, decision, *day)?;
        }
        let history = self.histories.get(index);
        let fit = &self.fits.fits[index];
        let course = Course::of(fit, &history, self.drift.axis)?;
        let step = self.step_variance(index);
        let lines = days
            .iter()
            .filter_map(|day| line_on(fit, &course, step, *day));
        Ok(lines.collect())
    }

    /// What a person should know beside the value of history `index` on `day`.
    pub(crate) fn value_cautions(
        &self,
        index: usize,
        decision: &Decision,
        day: f64,
    ) -> Vec<String> {
        let item = &self.histories.items[index];
        let mut cautions = Vec::new();
        if day > decision.act_on() {
            let due = date(decision.act_on());
            cautions.push(format!("Its calibration is due on {due}, before that day."));
        }
        if decision.action == Action::Review {
            let words = "A person has to look at it before its interval is decided: driftbook explain says why.";
            cautions.push(words.into());
        }
        let chart = self.controls.charts.get(&index);
        let out = chart.filter(|chart| chart.state == ControlState::OutOfControl);
        cautions.extend(out.map(|chart| format!("Its control chart is {}.", chart.finding())));
        if item.unit.is_empty() {
            cautions.push("Its records state no unit.".into());
        }
        cautions
    }

    /// Refuses a value where it would mislead.
    fn may_state(&self, index: usize, decision: &Decision, day: f64) -> Result<(), NoValue> {
        let history = self.histories.get(index);
        let last = history.date.last().copied().unwrap_or(f64::NAN);
        if day.is_nan() || last.is_nan() || day.floor() < last.floor() {
            return Err(NoValue::Before { day, last });
        }
        if day - last > MOST_DAYS {
            return Err(NoValue::Far { day });
        }
        if decision.action == Action::Withdraw {
            return Err(NoValue::Withdrawn);
        }
        if let Some(shift) = self.controls.shared.of_history(index) {
            return Err(NoValue::Shift(shift.words()));
        }
        if let Some(why) = self.controls.against_level(index, &history) {
            return Err(NoValue::Session(why));
        }
        let chart = self.controls.charts.get(&index);
        let out = chart.filter(|chart| chart.state == ControlState::OutOfControl);
        if let (Some(chart), Role::CheckStandard) = (out, history.item.role) {
            return Err(NoValue::OutOfControl(chart.finding()));
        }
        let advice = self.advice(index);
        if let Some(advice) = advice.filter(|advice| advice.kind == AdviceKind::Repeat) {
            return Err(NoValue::Repeat(advice.reason));
        }
        let outside = self.last_reading(index).filter(|last| last.is_outside());
        match outside {
            Some(far) => Err(NoValue::Unconfirmed {
                day: history.date[far.row],
            }),
            None => Ok(()),
        }
    }

    /// Variance of a sudden step of the class of history `index`, in the history's unit.
    fn step_variance(&self, index: usize) -> f64 {
        let class = self.fits.classes.of_history(index);
        let scale = class.scale_of(&self.histories.items[index]);
        class.surprises.step_variance * scale * scale
    }
}

/// The line on `day`; `None` where the fit forecasts nothing.
fn line_on(fit: &Fit, course: &Course<'_>, step: f64, day: f64) -> Option<BudgetLine> {
    let x = course.x_on(day);
    let then = course.on(day)?;
    let common = fit.u_common * fit.u_common;
    let whole = (then.u_error.powi(2) - common).max(0.0);
    let level = (fit.at(fit.last_x)?.u_error.powi(2) - common).clamp(0.0, whole);
    // Where the motion is a state, the same one without wander tells what the drift alone adds.
    let steady = fit
        .motion
        .as_ref()
        .and_then(|motion| motion.state())
        .map(|state| {
            let mut calm = *state;
            (calm.rates.wander, calm.rates.turning) = (0.0, 0.0);
            (calm.at(x).u_error.powi(2) - calm.u_common.powi(2)).clamp(level, whole)
        });
    let drifted = steady.unwrap_or(whole);
    let line = BudgetLine {
        day,
        expected: then.expected,
        u_calibration: level.sqrt(),
        u_drift: (drifted - level).sqrt(),
        u_wander: (whole - drifted).sqrt(),
        u_step: ((1.0 - step_free(fit, &then)) * step).max(0.0).sqrt(),
        u_common: fit.u_common,
        degrees_of_freedom: then.degrees_of_freedom,
        interval: None,
    };
    (line.expected.is_finite() && line.u_corrected().is_finite()).then_some(line)
}

/// Probability of no step by then; only a state knows of steps.
fn step_free(fit: &Fit, then: &Prediction) -> f64 {
    let state = fit.motion.as_ref().and_then(|motion| motion.state());
    state.map_or(1.0, |_| then.no_step)
}

/// The mean error between two days, and the uncertainty of a value corrected by it.
fn over_interval(
    fit: &Fit,
    course: &Course<'_>,
    step: f64,
    days: (f64, f64),
) -> Option<OverInterval> {
    let width = days.1 - days.0;
    if !(width > 0.0 && width <= MOST_DAYS) {
        return None;
    }
    let (mut mean, mut square, mut variance) = (0.0, 0.0, 0.0);
    for panel in 0..=PANELS {
        let weight = match panel {
            0 | PANELS => 1.0,
            inner if inner % 2 == 1 => 4.0,
            _ => 2.0,
        } / (3.0 * PANELS as f64);
        let line = line_on(
            fit,
            course,
            step,
            days.0 + width * panel as f64 / PANELS as f64,
        )?;
        mean += weight * line.expected;
        square += weight * line.expected * line.expected;
        variance += weight * line.u_corrected().powi(2);
    }
    let about = (square - mean * mean).max(0.0);
    Some(OverInterval {
        days,
        expected: mean,
        u: (variance + about).sqrt(),
    })
}

#[cfg(test)]
#[path = "budget_line_tests.rs"]
mod tests;
