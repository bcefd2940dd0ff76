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
mod tests {
    use super::*;
    use crate::drift::series::readings::Axis;
    use crate::drift::testing::Known;
    use crate::drift::{DriftSettings, ModelName, fit_history};
    use crate::records::DAYS_PER_YEAR;
    use crate::records::testing::Record;

    /// JCGM 100:2008, H.3: a line through eleven corrections of a thermometer, b(30 °C) = −0.1494
    /// with u = 0.0041 on nine degrees of freedom. A degree above 20 °C stands for a year.
    #[test]
    fn the_line_of_a_thermometer() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/gum/h3.csv");
        let text = std::fs::read_to_string(path).unwrap();
        let mut record = Record::new();
        for row in text.lines().skip(1) {
            let cells: Vec<f64> = row
                .split(',')
                .filter_map(|cell| cell.parse().ok())
                .collect();
            let [.., celsius, correction] = cells[..] else {
                panic!("{row}");
            };
            record = record.check((celsius - 20.0) * DAYS_PER_YEAR, correction);
        }
        record.columns.u.iter_mut().for_each(|u| *u = f64::NAN);
        let all = record.histories();
        let fit = fit_history(&all.get(0), &DriftSettings::default(), ModelName::Line);
        let history = all.get(0);
        let course = Course::of(&fit, &history, Axis::Time).unwrap();
        let line = line_on(&fit, &course, 0.0, 10.0 * DAYS_PER_YEAR).unwrap();
        assert!((line.expected + 0.1494).abs() < 5e-5, "{}", line.expected);
        assert!(
            (line.u_corrected() - 0.0041).abs() < 5e-5,
            "{}",
            line.u_corrected()
        );
        assert_eq!(
            (line.degrees_of_freedom, line.distribution()),
            (9.0, "student_t")
        );
    }

    fn known() -> (crate::records::Histories, Fit) {
        let all = Record::new().check(0.0, 0.3).histories();
        let known = Known {
            error: 0.3,
            u_error: 0.1,
            drift: 0.2,
            u_drift: 0.05,
            wander: 0.06,
            step_rate: 0.1,
        };
        (all, known.fit(0.0, 8))
    }

    /// By hand after two years: 0.3 + 0.4; 0.1; 2·0.05; 0.06·√2; √((1 − e^−0.2)·0.25).
    #[test]
    fn the_parts_by_hand() {
        let (all, fit) = known();
        let history = all.get(0);
        let course = Course::of(&fit, &history, Axis::Time).unwrap();
        let line = line_on(&fit, &course, 0.25, 2.0 * DAYS_PER_YEAR).unwrap();
        let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} {b}");
        close(line.expected, 0.7);
        close(line.u_calibration, 0.1);
        close(line.u_drift, 0.1);
        close(line.u_wander, 0.06 * 2f64.sqrt());
        close(line.u_step, ((1.0 - (-0.2f64).exp()) * 0.25).sqrt());
        close(line.u_uncorrected(), line.u_corrected().hypot(0.7));
    }

    /// F.2.4.5 by hand for an error that grows evenly from 0.3 to 0.7 with nothing else unknown:
    /// mean 0.5, standard deviation about it 0.4/√12.
    #[test]
    fn one_correction_for_the_interval() {
        let all = Record::new().check(0.0, 0.3).histories();
        let exact = Known {
            error: 0.3,
            drift: 0.2,
            ..Known::default()
        };
        let fit = exact.fit(0.0, 8);
        let history = all.get(0);
        let course = Course::of(&fit, &history, Axis::Time).unwrap();
        let days = (0.0, 2.0 * DAYS_PER_YEAR);
        let mean = over_interval(&fit, &course, 0.0, days).unwrap();
        assert!((mean.expected - 0.5).abs() < 1e-12);
        assert!((mean.u - 0.4 / 12f64.sqrt()).abs() < 1e-9, "{}", mean.u);
        assert_eq!(over_interval(&fit, &course, 0.0, (5.0, 5.0)), None);
    }
}
