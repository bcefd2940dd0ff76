/*! Instruments found out of tolerance by calendar month, or by the months it takes to tell something. */

use crate::records::{History, Outcome, date};
use crate::report::ProportionView;
use crate::stats::proportion_limits;
use chrono::{Datelike, NaiveDate};
use std::collections::BTreeMap;

/// Level of the exact limits on proportions.
const PROPORTION_LEVEL: f64 = 0.95;

/// Limits wider apart than this say next to nothing of a proportion: more months are asked.
const WIDEST: f64 = 0.3;

fn first_of_month(day: f64) -> Option<NaiveDate> {
    date::calendar(day).and_then(|d| d.with_day(1))
}

/// What was found of one instrument in one period: its number among those of the histories, and
/// whether any check of any of its points was out of tolerance.
type PeriodOutcome = (u32, bool);

/// What was found of the instruments by calendar month.
pub(crate) type Months = BTreeMap<NaiveDate, Vec<PeriodOutcome>>;

/// Instruments and those found out of tolerance by calendar month, or by a few months together.
/// The checks and the points of one instrument are no trials of their own: it counts once a period.
pub(crate) fn by_month<'a>(histories: impl Iterator<Item = History<'a>>) -> Vec<ProportionView> {
    let mut months = Months::new();
    count((0..).zip(histories), &mut months);
    pooled(months)
}

/// Notes the checks of `histories`, each with its place among all, by month; an instrument has the
/// number of its first history.
pub(crate) fn count<'a>(histories: impl Iterator<Item = (u32, History<'a>)>, months: &mut Months) {
    let mut own: Option<(u32, &str)> = None;
    for (place, history) in histories {
        let name = history.item.instrument.as_str();
        let (number, _) = *match own.as_mut().filter(|own| own.1 == name) {
            Some(own) => own,
            None => own.insert((place, name)),
        };
        for (day, outcome) in history.date.iter().zip(history.outcome) {
            let known = *outcome != Outcome::Unknown;
            if let Some(month) = first_of_month(*day).filter(|_| known) {
                let found = months.entry(month).or_default();
                add(found, (number, *outcome == Outcome::Out));
            }
        }
    }
}

/// Adds what was found of an instrument behind those with lower numbers.
fn add(all: &mut Vec<PeriodOutcome>, found: PeriodOutcome) {
    match all.last_mut() {
        Some(last) if last.0 == found.0 => last.1 |= found.1,
        _ => all.push(found),
    }
}

/// Neighbouring months together until the limits tell something; the newest rest goes with the
/// period before it.
pub(crate) fn pooled(months: Months) -> Vec<ProportionView> {
    let mut periods: Vec<Period> = Vec::new();
    for (month, found) in months {
        let days = (date::days_of(month), date::days_of(last_of_month(month)));
        match periods.last_mut().filter(|period| period.too_wide()) {
            Some(open) => open.join(days.1, found),
            None => periods.push(Period { days, found }),
        }
    }
    if periods.len() > 1
        && let Some(rest) = periods.pop_if(|last| last.too_wide())
        && let Some(before) = periods.last_mut()
    {
        before.join(rest.days.1, rest.found);
    }
    periods.iter().map(Period::view).collect()
}

fn last_of_month(first: NaiveDate) -> NaiveDate {
    let next = first.checked_add_months(chrono::Months::new(1));
    next.and_then(|day| day.pred_opt()).unwrap_or(first)
}

/// Instruments checked in one or more months.
struct Period {
    days: (f64, f64),
    found: Vec<PeriodOutcome>,
}

impl Period {
    fn join(&mut self, end: f64, found: Vec<PeriodOutcome>) {
        self.days.1 = end;
        self.found.extend(found);
        self.found.sort_unstable();
        let all = std::mem::take(&mut self.found);
        all.into_iter()
            .for_each(|found| add(&mut self.found, found));
    }

    fn counts(&self) -> (u64, u64) {
        let out = self.found.iter().filter(|(_, out)| *out).count();
        (out as u64, self.found.len() as u64)
    }

    fn limits(&self) -> (f64, f64) {
        let (count, trials) = self.counts();
        proportion_limits(count, trials, PROPORTION_LEVEL)
    }

    fn too_wide(&self) -> bool {
        let (low, high) = self.limits();
        high - low > WIDEST
    }

    fn view(&self) -> ProportionView {
        let (count, trials) = self.counts();
        ProportionView {
            x: 0.5 * (self.days.0 + self.days.1),
            days: self.days,
            trials,
            count,
            limits: self.limits(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::testing::{Record, fleet};

    #[test]
    fn months_of_few_checks_are_pooled_until_the_limits_tell_something() {
        let month = |i: u32| NaiveDate::from_ymd_opt(2020 + (i / 12) as i32, 1 + i % 12, 1);
        let found =
            |from: u32, n: u32, out: u32| (from..from + n).map(move |i| (i, i < from + out));
        let few = (0..36).filter_map(|i| {
            let out = u32::from(i % 9 == 0);
            Some((month(i)?, found(2 * i, 2, out).collect()))
        });
        let periods = pooled(few.collect());
        assert!(periods.len() > 1);
        assert!(periods.iter().all(|p| p.limits.1 - p.limits.0 <= WIDEST));
        assert_eq!(periods.iter().map(|p| p.trials).sum::<u64>(), 72);
        let many = (0..12).filter_map(|i| Some((month(i)?, found(0, 200, 4).collect())));
        assert_eq!(pooled(many.collect()).len(), 12);
    }

    /// Six instruments with two points each, checked every month and never out: six trials, not 144.
    #[test]
    fn an_instrument_counts_once_however_often_it_was_checked() {
        let member = |history: usize| {
            let mut record = Record::new();
            record.item.instrument = format!("G-{}", history / 2);
            record.item.point = format!("{}", history % 2);
            let day = |check: i32| 18_262.0 + 30.4 * f64::from(check);
            (0..12).fold(record, |record, check| record.outcome(day(check), true))
        };
        let periods = by_month(fleet((0..12).map(member)).iter());
        let [period] = periods[..] else {
            panic!("{periods:?}");
        };
        assert_eq!((period.trials, period.count), (6, 0));
        assert_eq!(period.limits, proportion_limits(0, 6, PROPORTION_LEVEL));
    }
}
