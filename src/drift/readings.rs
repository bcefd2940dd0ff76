/*! The readings of one history as drift models see them: one stream with segments. */

use crate::records::{DAYS_PER_YEAR, History};

/// One datum of a drift model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Years since 1970-01-01 (days / 365.25), or the usage counter on the usage axis.
    pub x: f64,
    /// Error, in the history's unit.
    pub value: f64,
    /// Standard uncertainty, random part; NaN where not stated.
    pub u: f64,
    /// Level this reading belongs to: grows by one at each event.
    pub segment: u32,
    /// Drift this reading belongs to: grows at events that restart the drift.
    pub drift_segment: u32,
    /// Row of the history it came from.
    pub check: u32,
    /// True for an as-left reading that opens a segment.
    pub as_left: bool,
}

/// Axis of the drift.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Axis {
    /// Calendar time, years.
    #[default]
    Time,
    /// Cumulative use, in the unit of `usage`.
    Usage,
}

/// Fills `out` with the readings of `history`, oldest first; clears it before.
///
/// Rules: a check without a value gives no reading. The as-left value of an
/// unadjusted check is the same reading, not a second datum. An event closes
/// the segment with the as-found value and opens one whose first datum is the
/// as-left value; a shock, repair, anneal or replacement without an as-left value opens it with
/// the as-found value alone, since one value beside such an event was read after it.
pub fn fill_readings(history: &History<'_>, axis: Axis, out: &mut Vec<Reading>) {
    out.clear();
    let (mut segment, mut drift_segment) = (0u32, 0u32);
    for i in 0..history.len() {
        let x = match axis {
            Axis::Time => history.date[i] / DAYS_PER_YEAR,
            Axis::Usage => history.usage[i],
        };
        let event = history.happened(i);
        let read_after = event.restarts_drift() && history.as_left[i].is_nan();
        let mut push = |value: f64, segment: u32, drift_segment: u32, as_left: bool| {
            if value.is_finite() && x.is_finite() {
                let u = history.u[i];
                out.push(Reading {
                    x,
                    value,
                    u,
                    segment,
                    drift_segment,
                    check: i as u32,
                    as_left,
                });
            }
        };
        if !read_after {
            push(history.as_found[i], segment, drift_segment, false);
        }
        if event.restarts_level() {
            segment += 1;
            drift_segment += u32::from(event.restarts_drift());
            push(history.left(i), segment, drift_segment, !read_after);
        }
    }
}
