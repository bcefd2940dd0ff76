/*! Failures that nobody has closed, of a history and of the other points of its instrument: an instrument is one thing. */

use super::cases::closings::Closings;
use super::cases::{Kind, open_findings};
use crate::conformity::DecisionRule;
use crate::records::{Histories, History, Outcome};

/// Day of the last check out of tolerance, where fewer than `good_checks` good ones have followed it by `as_of`, days since
/// 1970-01-01.
pub(crate) fn unclosed_failure(history: &History<'_>, good_checks: u32, as_of: f64) -> Option<f64> {
    let mut good = 0;
    let known = |row: &usize| history.date[*row].floor() <= as_of;
    let last = (0..history.len()).rev().filter(known).find(|&row| {
        good += u32::from(history.outcome_at(row) == Outcome::In);
        good >= good_checks || history.outcome_at(row) == Outcome::Out
    })?;
    let failed = history.outcome_at(last) == Outcome::Out && good < good_checks;
    failed.then(|| history.date[last])
}

/// Another point of an instrument, out of tolerance and not closed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct FailedPoint<'a> {
    /// Its name.
    pub point: &'a str,
    /// Day of the last failure, days since 1970-01-01.
    pub day: f64,
    /// True where a book of cases is kept, in which that failure is open.
    pub book: bool,
}

/// The rule by which a failure holds an interval.
#[derive(Clone, Copy)]
pub(crate) struct HeldBy<'a> {
    /// The book of closings; `None` where no cases are kept.
    pub closings: Option<&'a Closings>,
    /// Good checks that have to follow a failure where none is kept.
    pub good_checks: u32,
    pub rule: &'a DecisionRule,
    /// Days since 1970-01-01.
    pub as_of: f64,
}

impl HeldBy<'_> {
    /// The failure of another point, where it holds the intervals of its instrument.
    pub(crate) fn failed<'h>(&self, history: &History<'h>) -> Option<FailedPoint<'h>> {
        let day = match self.closings {
            None => unclosed_failure(history, self.good_checks, self.as_of),
            Some(_) => {
                let open = open_findings(history, self.rule, self.closings, self.as_of);
                let failures = open.iter().rev().filter(|f| f.kind == Kind::OutOfTolerance);
                let mut days = failures.map(|finding| finding.day);
                days.find(|day| day.floor() <= self.as_of)
            }
        };
        day.map(|day| FailedPoint {
            point: history.item.point_name(),
            day,
            book: self.closings.is_some(),
        })
    }
}

/// The histories of the instrument of history `index` among `all`, but its own.
pub(crate) fn points_beside(all: &Histories, index: usize) -> Vec<History<'_>> {
    let places = places_beside(all, index).into_iter();
    places.map(|place| all.get(place)).collect()
}

/// Their places: the points of an instrument stand beside each other.
pub(crate) fn places_beside(all: &Histories, index: usize) -> Vec<usize> {
    let items = &all.items;
    let Some(item) = items.get(index) else {
        return Vec::new();
    };
    let own = |other: &usize| items[*other].instrument == item.instrument;
    let before = (0..index).rev().take_while(own);
    let after = (index + 1..items.len()).take_while(own);
    let mut places: Vec<usize> = before.chain(after).collect();
    places.sort_unstable();
    places
}
