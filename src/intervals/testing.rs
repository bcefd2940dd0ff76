/*! Evidence for this room's tests, and what most of them need beside it. */

pub(crate) use super::{EvidenceByGroup, GroupEvidence, Method};
pub(crate) use crate::drift::Status;
pub(crate) use crate::drift::testing::{Known, unfitted};
pub(crate) use crate::records::testing::{Record, fleet};

use super::{Evidence, IntervalSettings, Proposal};
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

/// What `method` proposes for an item without fit and group.
pub(crate) fn alone(method: &dyn Method, record: Record) -> Proposal {
    let (histories, fit) = (record.histories(), unfitted(Status::NoReading));
    method.propose(&evidence(&histories, &fit), &GroupEvidence::default())
}
