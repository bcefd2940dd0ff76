/*! The longest interval at whose end an item was found in tolerance. */

use crate::intervals::Evidence;
use crate::records::{Event, Outcome};

/// The longest time between two calibrations at whose end the item was found in tolerance, since
/// it last failed or became another: an interval that it has held.
pub(super) fn held_days(evidence: &Evidence<'_>) -> f64 {
    let history = &evidence.history;
    let rows: Vec<usize> = evidence.calibrations().collect();
    let mut longest = 0.0_f64;
    for pair in rows.windows(2).rev() {
        let (before, row) = (pair[0], pair[1]);
        if (before + 1..=row).any(|row| broken(evidence, row)) {
            break;
        }
        if evidence.outcome(row) == Outcome::In {
            longest = longest.max(history.date[row] - history.date[before]);
        }
    }
    longest
}

/// Whether the item failed at the check of `row`, or became another.
pub(super) fn broken(evidence: &Evidence<'_>, row: usize) -> bool {
    let stepped = evidence.fit.stepped == Some(row as u32);
    let event = evidence.history.happened(row);
    let another = event.restarts_level() && event != Event::Adjusted;
    stepped || another || evidence.outcome(row) == Outcome::Out
}
