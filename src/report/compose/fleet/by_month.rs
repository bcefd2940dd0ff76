/*! Checks and those out of tolerance by calendar month, or by the months it takes to tell something. */

use crate::records::{History, Outcome, date};
use crate::report::ProportionView;
use crate::stats::proportion_limits;
use chrono::{Datelike, Months, NaiveDate};
use std::collections::BTreeMap;

/// Level of the exact limits on proportions.
const PROPORTION_LEVEL: f64 = 0.95;

/// Limits wider apart than this say next to nothing of a proportion: more months are asked.
const WIDEST: f64 = 0.3;

fn first_of_month(day: f64) -> Option<NaiveDate> {
    date::calendar(day).and_then(|d| d.with_day(1))
}

/// Checks and those out of tolerance by calendar month, or by a few months together.
pub(crate) fn by_month<'a>(histories: impl Iterator<Item = History<'a>>) -> Vec<ProportionView> {
    let mut months: BTreeMap<NaiveDate, (u64, u64)> = BTreeMap::new();
    for history in histories {
        for (day, outcome) in history.date.iter().zip(history.outcome) {
            let known = *outcome != Outcome::Unknown;
            if let Some(month) = first_of_month(*day).filter(|_| known) {
                let entry = months.entry(month).or_default();
                entry.0 += 1;
                entry.1 += u64::from(*outcome == Outcome::Out);
            }
        }
    }
    pooled(months)
}

/// Neighbouring months together until the limits tell something; the newest rest goes with the
/// period before it.
fn pooled(months: BTreeMap<NaiveDate, (u64, u64)>) -> Vec<ProportionView> {
    let mut periods: Vec<Period> = Vec::new();
    for (month, (trials, count)) in months {
        let days = (date::days_of(month), date::days_of(last_of_month(month)));
        match periods.last_mut().filter(|period| period.too_wide()) {
            Some(open) => open.add(days.1, trials, count),
            None => periods.push(Period {
                days,
                trials,
                count,
            }),
        }
    }
    if periods.len() > 1
        && let Some(rest) = periods.pop_if(|last| last.too_wide())
        && let Some(before) = periods.last_mut()
    {
        before.add(rest.days.1, rest.trials, rest.count);
    }
    periods.iter().map(Period::view).collect()
}

fn last_of_month(first: NaiveDate) -> NaiveDate {
    let next = first.checked_add_months(Months::new(1));
    next.and_then(|day| day.pred_opt()).unwrap_or(first)
}

/// Checks of one or more months.
struct Period {
    days: (f64, f64),
    trials: u64,
    count: u64,
}

impl Period {
    fn add(&mut self, end: f64, trials: u64, count: u64) {
        self.days.1 = end;
        self.trials += trials;
        self.count += count;
    }

    fn limits(&self) -> (f64, f64) {
        proportion_limits(self.count, self.trials, PROPORTION_LEVEL)
    }

    fn too_wide(&self) -> bool {
        let (low, high) = self.limits();
        high - low > WIDEST
    }

    fn view(&self) -> ProportionView {
        ProportionView {
            x: 0.5 * (self.days.0 + self.days.1),
            days: self.days,
            trials: self.trials,
            count: self.count,
            limits: self.limits(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn months_of_few_checks_are_pooled_until_the_limits_tell_something() {
        let month = |i: u32| NaiveDate::from_ymd_opt(2020 + (i / 12) as i32, 1 + i % 12, 1);
        let few = (0..36).filter_map(|i| Some((month(i)?, (2, u64::from(i % 9 == 0)))));
        let periods = pooled(few.collect());
        assert!(periods.len() > 1);
        assert!(periods.iter().all(|p| p.limits.1 - p.limits.0 <= WIDEST));
        assert_eq!(periods.iter().map(|p| p.trials).sum::<u64>(), 72);
        let many = (0..12).filter_map(|i| Some((month(i)?, (200, 4))));
        assert_eq!(pooled(many.collect()).len(), 12);
    }
}
