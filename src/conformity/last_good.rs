/*! The last check that showed an item good: where work in doubt begins once a check fails.

A reading too near a limit for the decision rule does not show that: half of the items that
read a hair below a limit are beyond it. Work after such a check rests on the one before.
*/

use super::{DecisionRule, State, state};
use crate::records::{Event, History, Outcome};

/// The checks of a history that were good, as far as it was looked at.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct LastGood {
    shown: Option<usize>,
    in_tolerance: Option<usize>,
}

impl LastGood {
    /// Looks at the check of one row, the rows in order.
    pub(crate) fn see(&mut self, history: &History<'_>, row: usize, rule: &DecisionRule) {
        if left_good(history, row) {
            self.in_tolerance = Some(row);
            if shown(history, row, rule) {
                self.shown = Some(row);
            }
        }
    }

    /// Begins anew at a row from which the item counts as good.
    pub(crate) fn restored(row: usize) -> Self {
        LastGood {
            shown: None,
            in_tolerance: Some(row),
        }
    }

    /// The last row that showed the item good by the rule; where none did, the last one in tolerance.
    pub(crate) fn row(self) -> Option<usize> {
        self.shown.or(self.in_tolerance)
    }

    /// The last good row of a whole history.
    pub(crate) fn of(history: &History<'_>, rule: &DecisionRule) -> Option<usize> {
        let mut good = LastGood::default();
        (0..history.len()).for_each(|row| good.see(history, row, rule));
        good.row()
    }
}

/// True where the check of `row` left the item in tolerance, by its value, else by its outcome.
fn left_good(history: &History<'_>, row: usize) -> bool {
    let left = history.left(row);
    match history.tolerance_at(row) {
        Some(tolerance) if left.is_finite() => tolerance.contains(left),
        _ => history.outcome_at(row) == Outcome::In,
    }
}

/// True where the item was good again after the check of `row`; where the value left was not
/// kept, an adjustment, a repair or a replacement restores it, as the decision has it too.
pub(crate) fn restored(history: &History<'_>, row: usize) -> bool {
    let set = [Event::Adjusted, Event::Repaired, Event::Replaced];
    left_good(history, row) || history.left(row).is_nan() && set.contains(&history.happened(row))
}

/// True where the rule calls the value left conforming; of a bare outcome no more is known.
fn shown(history: &History<'_>, row: usize, rule: &DecisionRule) -> bool {
    let (left, u) = (history.left(row), history.u[row]);
    match history.tolerance_at(row) {
        Some(tolerance) if left.is_finite() && u.is_finite() => {
            let u = u.hypot(history.u_common[row]);
            state(left, u, tolerance, rule) == State::Conforming
        }
        _ => true,
    }
}
