/*! The chart of the checks between two restarts, and its signals.

A signal is open until a person closed it in the book of cases, which also starts the averages and
sums anew.
*/

use super::chart::{ControlResult, Series, chart};
use super::repeats::{Run, Within, within};
use super::runs::{Rule, Signal};
use super::settings::{ControlSettings, Deviation};
use crate::records::{About, History};
use crate::words::figure;

/// Why a stretch begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Restart {
    /// The event's day, or the register's.
    pub day: f64,
    /// "adjusted", …, or "register".
    pub why: &'static str,
}

/// One charted check, in the history's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ChartedCheck {
    /// Row of the history; of repeated readings the last.
    pub row: usize,
    /// The reading, or the mean of repeated ones.
    pub value: f64,
    /// What was expected.
    pub expected: f64,
    /// Standard deviation about it.
    pub deviation: f64,
    /// Number of readings.
    pub size: usize,
    /// Their standard deviation; NaN for a single one.
    pub within: f64,
    /// Largest minus smallest.
    pub range: f64,
}

/// The checks between two restarts.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Stretch {
    /// What it began with; `None` for the first.
    pub restart: Option<Restart>,
    /// The checks, as many as the chart has points.
    pub checks: Vec<ChartedCheck>,
    /// The chart.
    pub result: ControlResult,
    /// Scatter of repeated readings in the base period.
    pub within: Option<Within>,
}

/// A signal of the chart of the current stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SignalState {
    pub signal: Signal,
    /// True until it was closed, or no longer counts.
    pub open: bool,
}

impl Stretch {
    /// Draws the chart of `values` and returns its signals, the closed ones marked. Each closing of
    /// a signal starts the sums anew, and so decides what signals after it.
    pub(super) fn draw(
        &mut self,
        values: &[f64],
        history: &History<'_>,
        (about, settings): (About, &ControlSettings),
        closed: &[(f64, f64)],
    ) -> Vec<SignalState> {
        let dates: Vec<f64> = self.checks.iter().map(|c| history.date[c.row]).collect();
        let base = match settings.baseline as usize {
            0 => self.checks.len(),
            n => n.min(self.checks.len()),
        };
        self.within = within(&as_runs(&self.checks[..base]));
        let deviations = self.by_number(settings.deviation);
        let mut cases: Vec<(f64, f64)> = Vec::new();
        loop {
            let anew: Vec<f64> = cases.iter().map(|(_, on)| on + 1.0).collect();
            let series = Series {
                values,
                dates: &dates,
                known: (about == About::Drift).then_some((0.0, 1.0)),
                deviations: &deviations,
                anew: &anew,
            };
            self.result = chart(&series, settings);
            self.add_precision();
            let signals = self.signalling(&cases, settings);
            let of_case = |case: &&(f64, f64)| {
                let on_day = |s: &SignalState| s.open && s.signal.date.floor() == case.0;
                signals.iter().any(on_day)
            };
            match closed.iter().find(of_case) {
                Some(case) => cases.push(*case),
                None => {
                    self.fill(about);
                    return signals;
                }
            }
        }
    }

    /// Standard deviation of one reading by the scatter of repeated ones, where the settings ask
    /// for it.
    fn by_repeats(&self, deviation: Deviation) -> Option<f64> {
        let scatter = self.within.as_ref();
        match deviation {
            Deviation::Range => scatter.map(|within| within.by_range),
            Deviation::Within => scatter.map(|within| within.pooled),
            Deviation::MovingRange | Deviation::Standard => None,
        }
    }

    /// Deviation of each check by the number of its readings, s/√n; none where the scatter of
    /// repeated readings does not set the limits.
    fn by_number(&self, deviation: Deviation) -> Vec<f64> {
        let Some(of_one) = self.by_repeats(deviation) else {
            return Vec::new();
        };
        let checks = self.checks.iter();
        checks
            .map(|check| of_one / (check.size as f64).sqrt())
            .collect()
    }

    /// Where limits come from the scatter of repeated readings, and days differ in their number:
    /// that the limits do.
    pub(super) fn of_other_sizes(&self, deviation: Deviation, unit: &str) -> Option<String> {
        let of_one = figure(self.by_repeats(deviation)?, unit);
        let sizes = || self.checks.iter().map(|check| check.size);
        let (fewest, most) = (sizes().min()?, sizes().max()?);
        (fewest < most).then(|| {
            format!(
                "Days have {fewest} to {most} readings: the limits of each go by its own number n, as s/√n with s = {of_one} of one reading, and the centre is the mean of all readings."
            )
        })
    }

    /// Signals of repeated readings that scatter more than those of the base period.
    fn add_precision(&mut self) {
        let Some(scatter) = &self.within else {
            return;
        };
        let points = self.result.points.iter();
        for (index, (check, point)) in self.checks.iter().zip(points).enumerate() {
            let limit = scatter.limit(check.size);
            if limit.is_some_and(|limit| check.within > limit) {
                self.result.signals.push(Signal {
                    index,
                    date: point.date,
                    rule: Rule::Precision,
                });
            }
        }
        self.result.signals.sort_by_key(|s| (s.index, s.rule));
    }

    /// What signals by the settings, open unless one of the closed `cases` holds it.
    fn signalling(&self, cases: &[(f64, f64)], settings: &ControlSettings) -> Vec<SignalState> {
        let signals = self.result.signals.iter();
        let signals = signals.filter(|s| s.rule.is_signal(&settings.signals));
        let closed = |signal: &Signal| {
            let holds =
                |(finding, on): &(f64, f64)| (*finding..on + 1.0).contains(&signal.date.floor());
            cases.iter().any(holds)
        };
        let state = |signal: &Signal| SignalState {
            signal: *signal,
            open: !closed(signal),
        };
        signals.map(state).collect()
    }

    /// Says of each check what a constant expects, once the base period is known.
    fn fill(&mut self, about: About) {
        if let (About::Constant, Some(centre)) = (about, &self.result.centre) {
            for (check, point) in self.checks.iter_mut().zip(&self.result.points) {
                (check.expected, check.deviation) = (centre.value, point.deviation);
            }
        }
    }
}

fn as_runs(checks: &[ChartedCheck]) -> Vec<Run> {
    let run = |check: &ChartedCheck| Run {
        row: check.row,
        size: check.size,
        mean: check.value,
        range: check.range,
        deviation: check.within,
    };
    checks.iter().map(run).collect()
}
