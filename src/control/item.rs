/*! The control chart of one history: its stretches between restarts, its signals, its state.

A restart is an event at the item (the value left after it is another) or the day that the
register's `control_from` names. Only the stretch since the last restart tells the state. A signal
is open until a restart or until a person closed it in the book of cases, which also starts the
averages and sums anew. Where no book is kept nobody can close it: it then counts until as many
values as a base period has have given no signal.
*/

use super::baseline_tests::BaselineTests;
use super::chart::ControlResult;
use super::repeats::{Run, runs_of};
use super::residual::residuals;
use super::runs::{Rule, Signal};
use super::settings::{Charted, ControlSettings};
use super::stretch::{ChartedCheck, Restart, SignalState, Stretch};
use crate::drift::DriftSettings;
use crate::drift::class::parameters::ClassParameters;
use crate::records::{About, CheckKind, History, Role};

crate::words::worded! {
    /// What the chart says of the item today.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub(crate) enum ControlState with word {
        /// No open signal.
        InControl = "in_control",
        /// No open signal, and the last value lies beyond the warning limits.
        Warning = "warning",
        /// A signal is open.
        OutOfControl = "out_of_control",
        /// The readings cannot tell.
        Unknown = "unknown",
    }
}

/// The control chart of one history.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ItemChart {
    /// What it is drawn about.
    pub about: About,
    /// All stretches, oldest first; at least one.
    pub stretches: Vec<Stretch>,
    /// Signals of the last one.
    pub signals: Vec<SignalState>,
    /// Tests of the last one against its base period.
    pub tests: BaselineTests,
    /// State today.
    pub state: ControlState,
}

impl ItemChart {
    /// The stretch since the last restart.
    pub(crate) fn current(&self) -> Option<&Stretch> {
        self.stretches.last()
    }

    /// Days of the signals that can be closed.
    pub(crate) fn signal_days(&self) -> Vec<f64> {
        let mut days: Vec<f64> = self.signals.iter().map(|s| s.signal.date.floor()).collect();
        days.dedup();
        days
    }

    /// The first signal that is open.
    pub(crate) fn first_open(&self) -> Option<&Signal> {
        self.signals.iter().find(|s| s.open).map(|s| &s.signal)
    }
}

/// True where the settings chart `history`.
pub(crate) fn is_charted(history: &History<'_>, settings: &ControlSettings) -> bool {
    let role = history.item.role;
    match settings.charted {
        Charted::All => true,
        Charted::None => false,
        Charted::Auto => {
            let looked_at = |kind| matches!(kind, &CheckKind::Check | &CheckKind::Comparison);
            matches!(role, Role::Reference | Role::CheckStandard)
                || history.kind.iter().any(looked_at)
        }
    }
}

/// The chart of `history`; `closed` are the finding and the closing day of its closed cases,
/// `None` where no book is kept.
pub(crate) fn item_chart(
    history: &History<'_>,
    class: &ClassParameters,
    (settings, drift): (&ControlSettings, &DriftSettings),
    closed: Option<&[(f64, f64)]>,
) -> ItemChart {
    let about = history.item.control_chart.unwrap_or(settings.about);
    let checks = match about {
        About::Drift => residuals(history, class, drift)
            .into_iter()
            .map(|r| (single(history, r.row, r.expected, r.deviation), r.z))
            .collect(),
        About::Constant => day_means(history),
    };
    let mut stretches = Vec::new();
    let mut signals = Vec::new();
    for (restart, rows) in parts(history) {
        let [from, to] =
            [rows.start, rows.end].map(|row| checks.partition_point(|(check, _)| check.row < row));
        let part = checks[from..to].iter().copied();
        let (checks, values): (Vec<ChartedCheck>, Vec<f64>) = part.unzip();
        let mut stretch = Stretch {
            restart,
            checks,
            result: ControlResult::default(),
            within: None,
        };
        signals = stretch.draw(
            &values,
            history,
            (about, settings),
            closed.unwrap_or_default(),
        );
        stretches.push(stretch);
    }
    if closed.is_none() {
        forget(&mut signals, stretches.last(), settings);
    }
    let values: Vec<f64> = (stretches.last().iter().flat_map(|s| &s.result.points))
        .map(|point| point.z)
        .collect();
    let base = stretches.last().map_or(0, |stretch| stretch.result.base);
    ItemChart {
        about,
        state: state(stretches.last(), &signals),
        tests: BaselineTests::of(&values, base),
        stretches,
        signals,
    }
}

fn single(history: &History<'_>, row: usize, expected: f64, deviation: f64) -> ChartedCheck {
    ChartedCheck {
        row,
        value: history.as_found[row],
        expected,
        deviation,
        size: 1,
        within: f64::NAN,
        range: 0.0,
    }
}

/// The readings, each with the value to be charted: means of the days where at least half of the
/// days repeat them, else one by one.
fn day_means(history: &History<'_>) -> Vec<(ChartedCheck, f64)> {
    let finite = |row: &usize| history.as_found[*row].is_finite();
    let parts = parts(history).into_iter();
    // A mean never joins readings before an adjustment with those after it on the same day.
    let parts: Vec<Vec<usize>> = parts
        .map(|(_, rows)| rows.filter(finite).collect())
        .collect();
    let mut runs: Vec<Run> = parts
        .iter()
        .flat_map(|rows| runs_of(history, rows))
        .collect();
    let repeated = runs.iter().filter(|run| run.size > 1).count();
    if 2 * repeated < runs.len() {
        let alone = |row: &usize| runs_of(history, &[*row]);
        runs = parts.iter().flatten().flat_map(alone).collect();
    }
    let check = |run: Run| {
        let check = ChartedCheck {
            value: run.mean,
            size: run.size,
            within: run.deviation,
            range: run.range,
            ..single(history, run.row, f64::NAN, f64::NAN)
        };
        (check, run.mean)
    };
    runs.into_iter().map(check).collect()
}

/// The rows of each stretch with what it began with.
fn parts(history: &History<'_>) -> Vec<(Option<Restart>, std::ops::Range<usize>)> {
    let mut starts: Vec<(usize, Option<Restart>)> = vec![(0, None)];
    for row in 0..history.len() {
        let event = history.happened(row);
        if event.restarts_level() {
            // A shock moved the value before the check that reports it.
            let first = if event.moves_value() { row + 1 } else { row };
            let (day, why) = (history.date[row], event.word());
            starts.push((first, Some(Restart { day, why })));
        }
    }
    if let Some(day) = history.item.control_from {
        let first = history.date.partition_point(|date| *date < day);
        let why = "register";
        starts.push((first, Some(Restart { day, why })));
    }
    // Of two restarts before one check the later line holds.
    starts.sort_by_key(|(first, _)| *first);
    let ends = starts.iter().skip(1).map(|(first, _)| *first);
    let ends: Vec<usize> = ends.chain([history.len()]).collect();
    let all = starts.into_iter().zip(ends);
    let mut parts: Vec<_> = all.map(|((first, why), end)| (why, first..end)).collect();
    let last = parts.len() - 1;
    let mut place = 0;
    parts.retain(|(_, rows)| {
        place += 1;
        !rows.is_empty() || place - 1 == last
    });
    parts
}

/// Signals after which as many values as a base period has gave none no longer count.
fn forget(signals: &mut [SignalState], current: Option<&Stretch>, settings: &ControlSettings) {
    let values = current.map_or(0, |stretch| stretch.result.points.len());
    let base = match settings.baseline as usize {
        0 => values,
        n => n,
    };
    let Some(last) = signals.last().map(|s| s.signal.index) else {
        return;
    };
    if values - 1 - last >= base.max(1) {
        signals.iter_mut().for_each(|signal| signal.open = false);
    }
}

fn state(current: Option<&Stretch>, signals: &[SignalState]) -> ControlState {
    let result = current.map(|stretch| &stretch.result);
    let Some(result) = result.filter(|result| result.centre.is_some()) else {
        return ControlState::Unknown;
    };
    let last = result.points.len().saturating_sub(1);
    let warned = |s: &Signal| s.index == last && s.rule == Rule::BeyondTwo;
    match signals.iter().any(|s| s.open) {
        true => ControlState::OutOfControl,
        false if result.signals.iter().any(warned) => ControlState::Warning,
        false => ControlState::InControl,
    }
}

#[cfg(test)]
#[path = "item_tests.rs"]
mod tests;
