/*! Levelling the workload: due dates brought forward within a window, never back.

Decisions are taken in the order of their due dates; each is assigned to the day
of its window, `[due − window, due]`, whose month so far holds the fewest, the
latest such day first. Points of one instrument that are due together stay together.
The result depends on the decisions only, not on threads.
*/

use super::decision::Decision;
use crate::words::{calendar, days_of};
use chrono::Datelike;
use std::collections::BTreeMap;

/// Share of its own interval by which a due date is brought forward at most.
const LARGEST_SHARE: f64 = 0.25;

/// What levelling needs to know of one decision.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Due {
    /// Due date of the decision, days since 1970-01-01.
    pub date: f64,
    /// Its interval, days: no date moves by more than a quarter of it.
    pub interval_days: f64,
    /// False where the date may not move (withdrawn, overdue, or a person decides).
    pub movable: bool,
}

/// Assigned date of each decision, in order: at most `window` days before its due date,
/// not before `as_of`, never later than due. Unmovable and overdue dates stay.
fn level_workload(dues: &[Due], as_of: f64, window: f64) -> Vec<f64> {
    let mut assigned: Vec<f64> = dues.iter().map(|due| due.date).collect();
    let mut load: BTreeMap<i64, u32> = BTreeMap::new();
    let movable = |due: &Due| due.movable && due.date > as_of && window > 0.0;
    for due in dues.iter().filter(|due| !movable(due)) {
        *load.entry(month(due.date)).or_default() += 1;
    }
    let mut order: Vec<usize> = (0..dues.len()).filter(|i| movable(&dues[*i])).collect();
    order.sort_by(|a, b| dues[*a].date.total_cmp(&dues[*b].date).then(a.cmp(b)));
    for i in order {
        let due = dues[i];
        let most = window.min(LARGEST_SHARE * due.interval_days);
        let earliest = (due.date - most).max(as_of.floor() + 1.0).min(due.date);
        let best = choices(earliest, due.date)
            .into_iter()
            .min_by_key(|day| load.get(&month(*day)).copied().unwrap_or(0));
        if let Some(day) = best {
            assigned[i] = day;
            *load.entry(month(day)).or_default() += 1;
        }
    }
    assigned
}

/// Assigns each decision its date in the levelled workload. `same_instrument(i)` says whether
/// decision `i` is of the same instrument as the one before it: its points come to one visit
/// where they are due on one day. Withdrawn items and those under review stay.
pub(crate) fn level_decisions(
    decisions: &mut [Decision],
    same_instrument: impl Fn(usize) -> bool,
    as_of: f64,
    window: f64,
) {
    let mut visits: Vec<Due> = Vec::new();
    let mut visit_of = Vec::with_capacity(decisions.len());
    for (i, decision) in decisions.iter().enumerate() {
        let due = Due {
            date: decision.due_date,
            interval_days: decision.interval_days,
            movable: !decision.action.needs_person(),
        };
        let joined = visits
            .last()
            .is_some_and(|last| same_instrument(i) && *last == due);
        if !joined {
            visits.push(due);
        }
        visit_of.push(visits.len() - 1);
    }
    let assigned = level_workload(&visits, as_of, window);
    for (decision, visit) in decisions.iter_mut().zip(visit_of) {
        decision.assigned_date = assigned[visit];
    }
}

/// The latest day of each month of the window, the due date first.
fn choices(earliest: f64, due: f64) -> Vec<f64> {
    let mut days = vec![due];
    let mut day = due;
    while let Some(before) = last_of_month_before(day).filter(|d| *d >= earliest) {
        days.push(before);
        day = before;
    }
    days
}

fn last_of_month_before(day: f64) -> Option<f64> {
    let first = calendar(day)?.with_day(1)?.pred_opt()?;
    Some(days_of(first))
}

/// Months since year 0, or the far end for a date no calendar holds.
fn month(day: f64) -> i64 {
    calendar(day).map_or(i64::MAX, |d| {
        i64::from(d.year()) * 12 + i64::from(d.month0())
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decisions::testing::*;
    use crate::property_cases::usual;
    use proptest::prelude::*;

    fn due(date: f64) -> Due {
        Due {
            date,
            interval_days: 400.0,
            movable: true,
        }
    }

    #[test]
    fn a_crowded_month_is_levelled_forward() {
        // 2026-06-15 is day 20619; its month and the two before can take the work.
        let dues = vec![due(20_619.0); 9];
        let assigned = level_workload(&dues, 20_400.0, 75.0);
        let mut months: BTreeMap<i64, u32> = BTreeMap::new();
        for day in &assigned {
            *months.entry(month(*day)).or_default() += 1;
        }
        assert_eq!(months.into_values().collect::<Vec<_>>(), [3, 3, 3]);
    }

    #[test]
    fn no_window_and_fixed_dates_change_nothing() {
        let dues = [due(20_619.0), due(20_619.0)];
        assert_eq!(level_workload(&dues, 20_400.0, 0.0), [20_619.0, 20_619.0]);
        let fixed = Due {
            movable: false,
            ..due(20_619.0)
        };
        assert_eq!(
            level_workload(&[fixed, due(20_300.0)], 20_400.0, 60.0),
            [20_619.0, 20_300.0]
        );
    }

    #[test]
    fn points_of_one_instrument_come_together() {
        let decision = |due_date: f64, action| Decision {
            due_date,
            action,
            interval_days: 400.0,
            assigned_date: due_date,
            ..extending()
        };
        let mut fleet = vec![
            decision(20_619.0, Action::Keep),
            decision(20_619.0, Action::Extend),
            decision(20_619.0, Action::Keep),
            decision(20_619.0, Action::Review),
        ];
        level_decisions(&mut fleet, |i| i == 1, 20_400.0, 75.0);
        let days: Vec<f64> = fleet.iter().map(|d| d.assigned_date).collect();
        assert_eq!(days[0], days[1]);
        assert_ne!(days[1], days[2]);
        assert_eq!(days[3], 20_619.0);
    }

    proptest! {
        #![proptest_config(usual())]

        #[test]
        fn no_date_moves_later_or_too_far(
            dates in prop::collection::vec(20_000.0..21_500.0f64, 0..60),
            window in 0.0..200.0f64, interval in 30.0..2000.0f64,
        ) {
            let dues: Vec<Due> = dates.iter().map(|d| Due { interval_days: interval, ..due(*d) }).collect();
            for (day, due) in level_workload(&dues, 20_500.0, window).iter().zip(&dues) {
                prop_assert!(*day <= due.date);
                prop_assert!(due.date - *day <= window.min(0.25 * interval) + 1e-9);
                prop_assert!(*day >= due.date.min(20_500.0));
            }
        }
    }
}
