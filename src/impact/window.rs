/*! Suspect windows: from the last check that showed the item good over the check that failed to
the one that shows it good again, or on while nothing does. */

use super::bridge::Bridge;
use super::crossing::{LeftTolerance, Mechanism, left_tolerance};
use super::leg::{ErrorState, Leg};
use crate::conformity::{DecisionRule, LastGood, restored};
use crate::drift::Fit;
use crate::records::{DAYS_PER_YEAR, Event, History, Outcome, Tolerance};

/// The stretch in which work is suspect. Days since 1970-01-01, rates per day.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Window {
    /// When the item was last known good; `None` = never in the record.
    pub good_since: Option<f64>,
    /// When it was first found out of tolerance.
    pub found: f64,
    /// When it was restored or found good again; infinite while nothing shows it.
    pub until: f64,
    /// Row of its last failed check.
    pub last_failed: usize,
    /// Tolerance in force at the failed check.
    pub tolerance: Option<Tolerance>,
    /// How the error went, where the values are known.
    pub legs: Vec<Leg>,
    /// Standard uncertainty that all readings share, with the reference: no second reading lessens it.
    pub u_common: f64,
}

impl Window {
    /// True where work of `day` is suspect.
    pub(crate) fn holds(&self, day: f64) -> bool {
        day <= self.until && self.good_since.is_none_or(|good| day >= good)
    }

    /// How the error went on `day`; `None` where the values are not known.
    pub(crate) fn leg(&self, day: f64) -> Option<&Leg> {
        let holds = |leg: &&Leg| leg.span().0 <= day && day <= leg.span().1;
        self.legs.iter().find(holds)
    }

    /// The ways in which the true error may have stood on `day`, the shared uncertainty included.
    pub(crate) fn standings(&self, leg: &Leg, day: f64) -> Vec<ErrorState> {
        let with_common = |s: ErrorState| ErrorState {
            u: s.u.hypot(self.u_common),
            ..s
        };
        leg.standings(day).into_iter().map(with_common).collect()
    }

    /// When it left its tolerance; `None` where it was never known good. Searched for at each
    /// call, since of most windows nobody asks it.
    pub(crate) fn left(&self) -> Option<LeftTolerance> {
        let (good, found) = (self.good_since?, self.found);
        let into = self.legs.iter().find(|leg| leg.span().1 == found);
        let mechanism = match into {
            Some(Leg::Between { step, .. }) => Mechanism::of(*step),
            _ => Mechanism::Unknown,
        };
        Some(match (into, self.tolerance) {
            (Some(_), Some(tolerance)) => {
                left_tolerance((good, found), &self.legs, tolerance, mechanism)
            }
            _ => LeftTolerance {
                from: good,
                at: f64::NAN,
                to: found,
                mechanism: Mechanism::Unknown,
            },
        })
    }
}

/// All suspect windows of a history, oldest first: a later good check ends one, it takes none
/// of its work out of doubt. `rule` says which checks were good.
pub(crate) fn suspect_windows(
    history: &History<'_>,
    fit: &Fit,
    rule: &DecisionRule,
) -> Vec<Window> {
    let mut windows = Vec::new();
    // Most histories never failed.
    if (0..history.len()).all(|row| history.outcome_at(row) != Outcome::Out) {
        return windows;
    }
    let mut good = LastGood::default();
    let mut row = 0;
    while row < history.len() {
        if history.outcome_at(row) == Outcome::Out {
            let end = (row..history.len()).find(|&i| restored(history, i));
            windows.push(window(history, fit, (good.row(), row, end)));
            let Some(end) = end else { break };
            (good, row) = (LastGood::restored(end), end + 1);
        } else {
            good.see(history, row, rule);
            row += 1;
        }
    }
    windows
}

/// The window of the last judged check; `None` where that one was not out of tolerance.
pub(crate) fn suspect_window(
    history: &History<'_>,
    fit: &Fit,
    rule: &DecisionRule,
) -> Option<Window> {
    let judged = |i: &usize| history.outcome_at(*i) != Outcome::Unknown;
    let last = (0..history.len()).rev().find(judged)?;
    let mut windows = suspect_windows(history, fit, rule);
    windows.pop().filter(|window| window.last_failed == last)
}

/// The window about the failed check of one row, from the last good row to the restored one.
fn window(
    history: &History<'_>,
    fit: &Fit,
    (good, failed, end): (Option<usize>, usize, Option<usize>),
) -> Window {
    let tolerance = history.tolerance_at(failed);
    let last = end.unwrap_or(history.len() - 1);
    let legs = legs(history, fit, (good.unwrap_or(failed), last, end.is_none()));
    let found = history.date[failed];
    let good_since = good.map(|row| history.date[row]);
    let out = |i: &usize| history.outcome_at(*i) == Outcome::Out;
    Window {
        good_since,
        found,
        until: end.map_or(f64::INFINITY, |row| history.date[row]),
        last_failed: (failed..=last).rev().find(out).unwrap_or(failed),
        tolerance,
        legs,
        u_common: known(history.u_common[failed]),
    }
}

/// How the error went from row `first` to row `last`, and on where nothing ends it.
fn legs(history: &History<'_>, fit: &Fit, (first, last, open): (usize, usize, bool)) -> Vec<Leg> {
    let reading = |i: usize, value: f64| (history.date[i], value, u_of(history, fit, i));
    let read: Vec<usize> = (first..=last)
        .filter(|&i| i == first || history.as_found[i].is_finite())
        .collect();
    let known = read.windows(2).filter_map(|pair| {
        let (from, to) = (history.left(pair[0]), history.as_found[pair[1]]);
        (from.is_finite() && to.is_finite()).then(|| {
            let span = history.date[pair[1]] - history.date[pair[0]];
            Leg::Between {
                bridge: Bridge {
                    from: reading(pair[0], from),
                    to: reading(pair[1], to),
                    wander: wander_per_day(fit, to - from, span),
                },
                step: step_probability(history, fit, pair[1]),
            }
        })
    });
    let mut legs: Vec<Leg> = known.collect();
    let left = history.left(last);
    if open && left.is_finite() {
        let per_day = |rate: f64| match rate.is_finite() {
            true => rate / DAYS_PER_YEAR,
            false => 0.0,
        };
        legs.push(Leg::Onward {
            from: reading(last, left),
            drift: (per_day(fit.drift_per_year), per_day(fit.u_drift_per_year)),
            wander: per_day(fit.wander_per_sqrt_year.powi(2)),
        });
    }
    legs
}

/// Belief that the value stepped before the reading of row `to`: certain after a recorded
/// shock, else the drift model's, given that the reading is real and not an outlying one.
fn step_probability(history: &History<'_>, fit: &Fit, to: usize) -> f64 {
    if history.event[to] == Event::Shocked {
        return 1.0;
    }
    let step = fit.steps.iter().find(|(row, _)| *row as usize == to);
    step.map_or(0.0, |(_, probability)| probability.clamp(0.0, 1.0))
}

/// A standard uncertainty; 0 where none is stated.
fn known(u: f64) -> f64 {
    if u.is_finite() { u.max(0.0) } else { 0.0 }
}

/// Standard uncertainty of the reading of one row by itself, with the scatter the fit found beyond it.
fn u_of(history: &History<'_>, fit: &Fit, row: usize) -> f64 {
    known(history.u[row]).hypot(known(fit.excess_u))
}

/// Wander of the model, or that which makes the change itself an ordinary one.
fn wander_per_day(fit: &Fit, change: f64, span: f64) -> f64 {
    let known = fit.wander_per_sqrt_year.powi(2) / DAYS_PER_YEAR;
    let ordinary = if span > 0.0 {
        change * change / span
    } else {
        0.0
    };
    if known.is_finite() && known > 0.0 {
        known
    } else {
        ordinary
    }
}
