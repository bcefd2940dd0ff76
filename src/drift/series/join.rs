/*! How a reading joins the one before it. */

use super::readings::Reading;

/// How a datum joins the one before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Join {
    /// Same segment.
    Continues,
    /// New level, drift kept.
    NewLevel,
    /// New level and drift.
    NewDrift,
}

impl Join {
    /// How `reading` joins the one before it.
    pub(crate) fn of(last: Option<&Reading>, reading: &Reading) -> Self {
        match last {
            Some(last) if last.segment == reading.segment => Join::Continues,
            Some(last) if last.drift_segment == reading.drift_segment => Join::NewLevel,
            _ => Join::NewDrift,
        }
    }
}
