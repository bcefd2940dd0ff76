/*! Checks and those out of tolerance by calendar month. */

use crate::records::{History, Outcome, date};
use crate::report::ProportionView;
use crate::stats::proportion_limits;
use chrono::{Datelike, NaiveDate};
use std::collections::BTreeMap;

/// Level of the exact limits on proportions.
const PROPORTION_LEVEL: f64 = 0.95;

fn first_of_month(day: f64) -> Option<NaiveDate> {
    date::calendar(day).and_then(|d| d.with_day(1))
}

/// Checks and those out of tolerance by calendar month.
pub(crate) fn by_month<'a>(histories: impl Iterator<Item = History<'a>>) -> Vec<ProportionView> {
    const MIDDLE_OF_MONTH: f64 = 14.0;
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
    let view = |(month, (trials, count)): (NaiveDate, (u64, u64))| ProportionView {
        x: date::days_of(month) + MIDDLE_OF_MONTH,
        trials,
        count,
        limits: proportion_limits(count, trials, PROPORTION_LEVEL),
    };
    months.into_iter().map(view).collect()
}
