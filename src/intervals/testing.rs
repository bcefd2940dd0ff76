/*! Evidence for this room's tests. */

use super::{Evidence, IntervalSettings};
use crate::drift::Fit;
use crate::drift::series::readings::Axis;
use crate::records::Histories;

/// Evidence on the last day of the history, with the default settings.
pub(crate) fn evidence<'a>(histories: &'a Histories, fit: &'a Fit) -> Evidence<'a> {
    let history = histories.get(0);
    let as_of = history.date.last().copied().unwrap_or(0.0);
    let settings = IntervalSettings::default();
    Evidence::new(history, fit, &settings, (Axis::Time, 0.95), as_of)
}
