/*! The other points of an instrument, decided on what is stored. */

use super::after::decided;
use super::stored::Stored;
use crate::decisions::policy::Action;
use crate::decisions::with_reading::group_of;
use crate::decisions::withdrawn_beside::withdrawn_beside;
use crate::settings::plan::Plan;

/// What is said where points of the instrument of history `index`, but its own, are withdrawn on a day by the checks
/// that are stored; `None` where none is.
pub(super) fn points_withdrawn(
    plan: &Plan,
    stored: &Stored,
    index: usize,
    day: f64,
) -> Option<String> {
    withdrawn_beside(&stored.histories.items, index, |other| {
        let (group, place) = group_of(&stored.histories, other);
        let before = stored.histories.get(other);
        let its = (group.into_owned(), place, &before);
        decided(plan, its, day, (stored, &[])).decision.action == Action::Withdraw
    })
}
