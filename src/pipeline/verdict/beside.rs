/*! The other points of an instrument, beside a verdict on one of them. */

use super::Verdict;
use super::after::decided;
use super::stored::Stored;
use crate::decisions::policy::Action;
use crate::decisions::with_reading::{group_of, join_checks};
use crate::decisions::withdrawn_beside::{withdrawn_beside, withdrawn_points};
use crate::records::Histories;
use crate::records::append::check::NewCheck;
use crate::settings::plan::Plan;
use std::borrow::Cow;

/// A verdict on a check, and the place of its history.
pub(crate) struct OnDay<'a> {
    pub index: usize,
    pub check: &'a NewCheck,
    pub verdict: &'a mut Verdict,
}

impl OnDay<'_> {
    /// Days since 1970-01-01.
    fn day(&self) -> f64 {
        self.check.date.floor()
    }
}

/// Says in each verdict where other points of its instrument are withdrawn: by the verdict on a reading of that day or
/// an earlier one where there is one, else by the checks that are stored, beside those readings.
pub(crate) fn tell_points(plan: &Plan, stored: &Stored, judged: &mut [OnDay<'_>]) {
    let is_withdrawn = |it: &OnDay<'_>| it.verdict.action == Action::Withdraw.word();
    let told: Vec<Option<String>> = judged
        .iter()
        .map(|it| {
            let day = it.day();
            let read: Vec<&OnDay<'_>> = judged.iter().filter(|other| other.day() <= day).collect();
            let with = with_checks(stored, &read, it.index);
            let withdrawn = |other: usize| match read.iter().rfind(|known| known.index == other) {
                Some(known) => is_withdrawn(known),
                None => is_to_be_withdrawn(plan, (stored, &with), other, day),
            };
            withdrawn_beside(&stored.histories.items, it.index, withdrawn)
        })
        .collect();
    for (OnDay { verdict, .. }, words) in judged.iter_mut().zip(told) {
        if let Some(words) = words {
            verdict.lines.push(format!("Instrument: {words}."));
            verdict.needs_person = true;
            verdict.instrument_withdrawn = Some(words);
        }
    }
}

/// The points of `instrument` that are to be withdrawn on `day` by what is stored, in words; `None` where none is.
pub(crate) fn points_withdrawn(
    plan: &Plan,
    stored: &Stored,
    instrument: &str,
    day: f64,
) -> Option<String> {
    let items = &stored.histories.items;
    let places = (0..items.len()).filter(|place| items[*place].instrument == instrument);
    withdrawn_points(items, places, |place| {
        is_to_be_withdrawn(plan, (stored, &stored.histories), place, day)
    })
}

/// The stored histories with the checks that are `read` beside that of history `index`, where the instrument of that
/// one has other points: they inform what their class lends.
fn with_checks<'s>(stored: &'s Stored, read: &[&OnDay<'_>], index: usize) -> Cow<'s, Histories> {
    let all = &stored.histories;
    let same = |place: usize| {
        let (own, other) = (all.items.get(index), all.items.get(place));
        own.zip(other)
            .is_some_and(|(own, other)| own.instrument == other.instrument)
    };
    if !same(index + 1) && !index.checked_sub(1).is_some_and(same) {
        return Cow::Borrowed(all);
    }
    let mut with = all.clone();
    join_checks(
        &mut with,
        read.iter().map(|known| (known.index, known.check)),
    );
    Cow::Owned(with)
}

/// Whether history `place` of `histories` is to be withdrawn on `day`.
fn is_to_be_withdrawn(
    plan: &Plan,
    (stored, histories): (&Stored, &Histories),
    place: usize,
    day: f64,
) -> bool {
    let (group, own) = group_of(histories, place);
    let before = histories.get(place);
    let its = (group.into_owned(), own, &before);
    decided(plan, its, day, (stored, &[])).decision.action == Action::Withdraw
}
