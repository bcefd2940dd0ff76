/*! What the records say was found: checks out of tolerance, or too near a limit to tell. */

use crate::conformity::{DecisionRule, LastGood, State, restored, state};
use crate::records::{History, Outcome};

crate::words::worded! {
    /// What was found at a check.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub(crate) enum Kind with word {
        /// Out of tolerance as found.
        OutOfTolerance = "out_of_tolerance",
        /// Too near a limit for the decision rule.
        Indeterminate = "indeterminate",
    }
}

/// One finding of a history.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Finding {
    /// Row of the check in its history.
    pub row: usize,
    /// Its date, days since 1970-01-01.
    pub day: f64,
    /// What was found.
    pub kind: Kind,
    /// The last check before it that showed the item good; NaN where there is none.
    pub good_since: f64,
}

/// Every finding of `history` by `rule`, in order of dates.
pub(crate) fn findings(history: &History<'_>, rule: &DecisionRule) -> Vec<Finding> {
    let mut good = LastGood::default();
    let mut found = Vec::new();
    for row in 0..history.len() {
        let outcome = history.outcome_at(row);
        let kind = match outcome {
            Outcome::Out => Some(Kind::OutOfTolerance),
            _ if is_indeterminate(history, row, rule) => Some(Kind::Indeterminate),
            _ => None,
        };
        let day = history.date[row];
        if let Some(kind) = kind {
            found.push(Finding {
                row,
                day,
                kind,
                good_since: good.row().map_or(f64::NAN, |row| history.date[row]),
            });
        }
        if outcome != Outcome::Out {
            good.see(history, row, rule);
        } else if restored(history, row) {
            good = LastGood::restored(row);
        }
    }
    found
}

/// Days of the checks out of tolerance, whole days since 1970-01-01, in order.
pub(crate) fn failure_days(history: &History<'_>, rule: &DecisionRule) -> Vec<f64> {
    let found = findings(history, rule).into_iter();
    let failed = found.filter(|finding| finding.kind == Kind::OutOfTolerance);
    let mut days: Vec<f64> = failed.map(|finding| finding.day.floor()).collect();
    days.dedup();
    days
}

fn is_indeterminate(history: &History<'_>, row: usize, rule: &DecisionRule) -> bool {
    let (value, tolerance) = (history.as_found[row], history.tolerance_at(row));
    let u = history.u[row].hypot(history.u_common[row]);
    tolerance.is_some_and(|tolerance| {
        value.is_finite() && state(value, u, tolerance, rule) == State::Indeterminate
    })
}
