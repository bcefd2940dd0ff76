/*! The suspect window: from the last time the item was known good to the check that failed. */

use super::Bridge;
use crate::drift::Fit;
use crate::records::{DAYS_PER_YEAR, History, Outcome, Tolerance};

/// The stretch in which work is suspect: from the last known good reading to the failed one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// The two readings; times in days since 1970-01-01, wander per day. `None` where
    /// values are not known and only the dates are.
    pub bridge: Option<Bridge>,
    /// When the item was last known good; `None` = never in the record.
    pub good_since: Option<f64>,
    /// When it was found out of tolerance.
    pub found: f64,
    /// Tolerance in force at the failed check.
    pub tolerance: Option<Tolerance>,
}

/// The suspect window, where the last judged check was out of tolerance; `None` where it was not.
pub fn suspect_window(history: &History<'_>, fit: &Fit) -> Option<Window> {
    let failed = (0..history.len())
        .rev()
        .find(|&i| history.outcome_at(i) != Outcome::Unknown)?;
    if history.outcome_at(failed) != Outcome::Out {
        return None;
    }
    let tolerance = history.tolerance_at(failed);
    let good = (0..failed).rev().find(|&i| known_good(history, i));
    let found = history.date[failed];
    let bridge = good.and_then(|good| {
        let (from, to) = (history.left(good), history.as_found[failed]);
        if !from.is_finite() || !to.is_finite() {
            return None;
        }
        let u = |i: usize| {
            if history.u[i].is_nan() {
                0.0
            } else {
                history.u[i]
            }
        };
        let span = found - history.date[good];
        Some(Bridge {
            from: (history.date[good], from, u(good)),
            to: (found, to, u(failed)),
            wander: wander_per_day(fit, to - from, span),
        })
    });
    Some(Window {
        bridge,
        good_since: good.map(|i| history.date[i]),
        found,
        tolerance,
    })
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

/// True where check `i` left the item in tolerance, by its value, else by its outcome.
fn known_good(history: &History<'_>, i: usize) -> bool {
    let left = history.left(i);
    match history.tolerance_at(i) {
        Some(tolerance) if left.is_finite() => tolerance.contains(left),
        _ => history.outcome_at(i) == Outcome::In,
    }
}
