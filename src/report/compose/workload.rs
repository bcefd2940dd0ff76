/*! Calibrations that fall due in the coming months, by the intervals in force and by the proposed ones. */

use crate::decisions::policy::{Action, Decision};
use crate::records::{Histories, date};
use crate::report::{DueCount, MonthCount, WorkloadView};
use chrono::{Datelike, Months};

/// Months of the workload picture.
const WORKLOAD_MONTHS: u32 = 18;

/// Nobody calibrates an item oftener, days: it bounds the work of an interval typed in error.
const SHORTEST_DAYS: f64 = 1.0;

/// Every due date from `as_of` to the end of the months shown. What is overdue counts apart, and
/// as done on the as-of date; an item that is withdrawn or waits for a person stays at the
/// interval in force.
pub(crate) fn workload(as_of: f64, histories: &Histories, decisions: &[Decision]) -> WorkloadView {
    let Some((mut view, end)) = empty(as_of) else {
        return WorkloadView::default();
    };
    for (history, decision) in histories.iter().zip(decisions) {
        let item = history.item;
        if item.status.is_gone() {
            continue;
        }
        // What is lent or stored is calibrated once it is back.
        let back = item.until.unwrap_or(f64::INFINITY);
        let back = if item.status.is_away() {
            back
        } else {
            f64::NEG_INFINITY
        };
        let in_force = decision.current_interval_days;
        let due_now = decision.act_on().max(back);
        // What is withdrawn is calibrated now, and then at the interval in force.
        let (due, interval) = match decision.action {
            Action::Withdraw | Action::Review => (due_now, in_force),
            _ => (decision.assigned_date.max(back), decision.interval_days),
        };
        view.count((as_of, end), (due_now, in_force), |count| &mut count.now);
        view.count((as_of, end), (due, interval), |count| &mut count.decided);
    }
    view
}

/// The months without any calibration, and the day after them.
fn empty(as_of: f64) -> Option<(WorkloadView, f64)> {
    let first = date::calendar(as_of)?.with_day(1)?;
    let start = |k| Some(date::days_of(first.checked_add_months(Months::new(k))?));
    let month = |k| {
        Some(MonthCount {
            month: start(k)?,
            due: DueCount::default(),
        })
    };
    let view = WorkloadView {
        overdue: DueCount::default(),
        months: (0..WORKLOAD_MONTHS).map(month).collect::<Option<_>>()?,
    };
    Some((view, start(WORKLOAD_MONTHS)?))
}

impl WorkloadView {
    /// Adds the dates of other histories, counted for the same as-of date.
    pub(crate) fn add(&mut self, other: &Self) {
        let months = self.months.iter_mut().zip(&other.months);
        let counts = months.map(|(own, other)| (&mut own.due, &other.due));
        for (own, other) in counts.chain([(&mut self.overdue, &other.overdue)]) {
            own.now += other.now;
            own.decided += other.decided;
        }
    }

    /// Counts the due dates of one item in `shown`, the first at `first` and one each `interval`
    /// days after it, into the part of each count that `which` names.
    fn count(
        &mut self,
        shown: (f64, f64),
        (first, interval): (f64, f64),
        which: impl Fn(&mut DueCount) -> &mut u64,
    ) {
        let (as_of, end) = shown;
        let interval = interval.max(SHORTEST_DAYS);
        let mut due = first;
        if due < as_of {
            *which(&mut self.overdue) += 1;
            due = as_of + interval;
        }
        // A date that is no number is before no end.
        while due < end {
            let later = self.months.partition_point(|month| month.month <= due);
            if let Some(month) = later.checked_sub(1).and_then(|k| self.months.get_mut(k)) {
                *which(&mut month.due) += 1;
            }
            due += interval;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From 1 July 2026, 18 months (549 days): an item of 365 d due in 30 d comes due twice, one
    /// of 90 d seven times, one that is overdue at once and each half year.
    #[test]
    fn every_due_date_in_the_months_counts() {
        let as_of = 20_635.0;
        let (mut view, end) = empty(as_of).unwrap();
        assert_eq!((view.months.len(), end), (18, as_of + 549.0));
        let mut total = |first, interval| {
            view.count((as_of, end), (first, interval), |count| &mut count.now);
            let due: u64 = view.months.iter().map(|month| month.due.now).sum();
            (view.overdue.now, due)
        };
        assert_eq!(total(as_of + 30.0, 365.0), (0, 2));
        assert_eq!(total(as_of, 90.0), (0, 2 + 7));
        assert_eq!(total(as_of - 1.0, 182.0), (1, 9 + 3));
        assert_eq!(total(f64::NAN, 182.0), (1, 12));
        assert_eq!(view.months[0].due.now, 2);
        assert!(view.months.iter().all(|month| month.due.decided == 0));
    }
}
