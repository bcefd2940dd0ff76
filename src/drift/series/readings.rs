/*! The readings of one history as drift models see them: one stream with segments. */

use crate::records::{DAYS_PER_YEAR, History};

/// One datum of a drift model.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
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
    /// x of the event that opened its segment, where the value left then was not kept: the
    /// reading is the first after it. `None` where the segment opens with a reading.
    pub unread_since: Option<f64>,
    /// True where values stand on steps too wide for u as stated: how little they scatter
    /// says nothing of what its checks share.
    pub on_steps: bool,
}

/// An event that ends a record and whose value left was not kept: the level since then is
/// known only as far as similar items are left alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Unread {
    /// x of the event.
    pub x: f64,
    /// True where the drift started anew since the last reading.
    pub new_drift: bool,
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

/// Fills `out` with the readings of `history`, oldest first; clears it before. Returns the
/// event that ends the record, where the value left after it was not kept.
///
/// Rules: a check without a value gives no reading. The as-left value of an
/// unadjusted check is the same reading, not a second datum. An event closes
/// the segment with the as-found value and opens one whose first datum is the
/// as-left value; without one the level after it is unknown, and the next reading is the
/// first of the segment. A shock happens before the check that reports it: its one value opens
/// the segment, and so does that of a repair, annealing or replacement which states the same
/// value as found and as left.
pub(crate) fn fill_readings(
    history: &History<'_>,
    axis: Axis,
    out: &mut Vec<Reading>,
) -> Option<Unread> {
    out.clear();
    let (mut segment, mut drift_segment) = (0u32, 0u32);
    let mut unread_since: Option<f64> = None;
    let grid = history.item.grid;
    for i in 0..history.len() {
        let x = axis.of(history, i);
        let event = history.happened(i);
        let read_after = event.restarts_drift() && history.left(i) == history.as_found[i];
        let mut push = |value: f64, segment: u32, drift_segment: u32, as_left: bool| {
            let usable = value.is_finite() && x.is_finite();
            if usable {
                out.push(Reading {
                    x,
                    value,
                    u: history.u[i],
                    segment,
                    drift_segment,
                    check: i as u32,
                    as_left,
                    unread_since: unread_since.take(),
                    on_steps: grid.is_some_and(|grid| grid.rules(history.u[i])),
                });
            }
            usable
        };
        if !read_after {
            push(history.as_found[i], segment, drift_segment, false);
        }
        if event.restarts_level() {
            segment += 1;
            drift_segment += u32::from(event.restarts_drift());
            if !push(history.left(i), segment, drift_segment, !read_after) {
                unread_since = axis.last_known(history, i);
            }
        }
    }
    unread_end(history, axis)
}

/// The event that ends the record, where the value left after it was not kept.
pub(crate) fn unread_end(history: &History<'_>, axis: Axis) -> Option<Unread> {
    let (mut event, mut new_drift) = (None, false);
    for i in (0..history.len()).rev() {
        let known = axis.of(history, i).is_finite();
        if history.happened(i).restarts_level() {
            if history.left(i).is_finite() && known {
                break;
            }
            event = event.or(Some(i));
            new_drift |= history.happened(i).restarts_drift();
        }
        if history.as_found[i].is_finite() && known {
            break;
        }
    }
    let x = axis.last_known(history, event?)?;
    Some(Unread { x, new_drift })
}

impl Axis {
    /// Where check `i` lies on the axis; NaN where its use is not stated.
    fn of(self, history: &History<'_>, i: usize) -> f64 {
        match self {
            Axis::Time => history.date[i] / DAYS_PER_YEAR,
            Axis::Usage => history.usage[i],
        }
    }

    /// Where check `i` lies; of one at an unknown use is known that it came after those before.
    fn last_known(self, history: &History<'_>, i: usize) -> Option<f64> {
        let xs = (0..=i).rev().map(|i| self.of(history, i));
        xs.into_iter().find(|x| x.is_finite())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Event;
    use crate::records::testing::Record;

    /// Yearly checks with their event and value left; NaN: not kept.
    fn readings(checks: &[(f64, Event, f64)]) -> (Vec<Reading>, Option<Unread>) {
        let add = |record: Record, (i, (found, event, left)): (usize, &(f64, Event, f64))| {
            let mut record = record.check(365.25 * i as f64, *found).left(*left);
            record.columns.event[i] = *event;
            record
        };
        let all = checks
            .iter()
            .enumerate()
            .fold(Record::new(), add)
            .histories();
        let mut out = Vec::new();
        let unread = fill_readings(&all.get(0), Axis::Time, &mut out);
        (out, unread)
    }

    #[test]
    fn a_value_left_that_was_not_kept_is_no_reading() {
        let nan = f64::NAN;
        for event in [
            Event::Adjusted,
            Event::Repaired,
            Event::Annealed,
            Event::Replaced,
        ] {
            let (found, unread) = readings(&[
                (0.1, Event::None, nan),
                (0.8, event, nan),
                (0.2, Event::None, nan),
            ]);
            let parts: Vec<_> = found
                .iter()
                .map(|r| (r.value, r.segment, r.unread_since))
                .collect();
            let expected = [(0.1, 0, None), (0.8, 0, None), (0.2, 1, Some(1.0))];
            assert_eq!(parts, expected);
            assert_eq!(unread, None);
            let (found, unread) = readings(&[(0.1, Event::None, nan), (0.8, event, nan)]);
            assert_eq!(found.len(), 2);
            let new_drift = event.restarts_drift();
            assert_eq!(unread, Some(Unread { x: 1.0, new_drift }));
        }
    }

    #[test]
    fn a_value_left_that_was_kept_opens_the_level_and_so_does_one_after_a_shock() {
        let (found, unread) =
            readings(&[(0.8, Event::Adjusted, 0.1), (0.2, Event::None, f64::NAN)]);
        assert_eq!((found.len(), unread), (3, None));
        assert!(found.iter().all(|r| r.unread_since.is_none()));
        for (event, left) in [(Event::Shocked, f64::NAN), (Event::Repaired, 0.8)] {
            let (found, unread) = readings(&[(0.1, Event::None, f64::NAN), (0.8, event, left)]);
            let segments: Vec<_> = found.iter().map(|r| (r.value, r.segment)).collect();
            assert_eq!((segments, unread), (vec![(0.1, 0), (0.8, 1)], None));
        }
    }
}
