/*! Failures that earlier runs knew and the records lack, and what is said of them. */

use super::known_failures::KnownFailure;
use crate::conformity::DecisionRule;
use crate::decisions::cases::closings::Closings;
use crate::decisions::cases::failure_days;
use crate::records::{Histories, History, Warning};
use crate::words::{and_more, neutralised};
use std::collections::{BTreeMap, HashMap, HashSet};

/// Failures that earlier runs knew and the records lack.
#[derive(Debug, Clone, Default)]
pub(crate) struct Gone {
    /// By the place of their history.
    pub(super) of_histories: BTreeMap<usize, Vec<KnownFailure>>,
    /// Those of items without a history now.
    pub(super) vanished: Vec<KnownFailure>,
}

impl Gone {
    /// Days of the failures of history `index`, days since 1970-01-01.
    pub(crate) fn days(&self, index: usize) -> Vec<f64> {
        let own = self.of_histories.get(&index).into_iter().flatten();
        own.filter_map(KnownFailure::day).collect()
    }

    /// Days of the failures of an item that has no history now.
    pub(crate) fn vanished_days(&self, instrument: &str, point: &str) -> Vec<f64> {
        let own = self.vanished.iter();
        own.filter(|known| known.names() == (instrument, point))
            .filter_map(KnownFailure::day)
            .collect()
    }

    /// Points of `instrument` with failures, where it has no history now.
    pub(crate) fn vanished_points(&self, instrument: &str) -> Vec<&str> {
        let own = self.vanished.iter().map(KnownFailure::names);
        let own = own.filter(|(name, _)| *name == instrument);
        let mut points: Vec<&str> = own.map(|(_, point)| point).collect();
        points.dedup();
        points
    }

    /// The failures of `known` that `histories` lack.
    pub(crate) fn of(known: &[KnownFailure], histories: &Histories, rule: &DecisionRule) -> Self {
        let mut gone = Self::default();
        let mut places = HashMap::new();
        if !known.is_empty() {
            for (place, item) in histories.items.iter().enumerate() {
                let point = neutralised(&item.point);
                for name in std::iter::once(&item.instrument).chain(&item.formerly) {
                    places.insert((neutralised(name), point.clone()), place);
                }
            }
        }
        let mut days_now: HashMap<usize, Vec<f64>> = HashMap::new();
        for failure in known {
            let key = (
                failure.instrument.as_str().into(),
                failure.point.as_str().into(),
            );
            let Some(&place) = places.get(&key) else {
                gone.vanished.push(failure.clone());
                continue;
            };
            let now = days_now
                .entry(place)
                .or_insert_with(|| failure_days(&histories.get(place), rule));
            if failure.day().is_some_and(|day| !now.contains(&day)) {
                let own = gone.of_histories.entry(place).or_default();
                own.push(failure.clone());
            }
        }
        gone
    }

    /// Those that nobody has closed are a contradiction of the record, which a person must settle. Returns what is to be
    /// said of each, with the place of its history.
    pub(crate) fn contradict(
        &self,
        histories: &mut Histories,
        book: Option<&Closings>,
        as_of: f64,
    ) -> Vec<(usize, Warning)> {
        let mut warnings = Vec::new();
        for (&place, gone) in &self.of_histories {
            let Some(words) = words(&histories.get(place), gone, book, as_of) else {
                continue;
            };
            let item = &mut histories.items[place];
            warnings.push((place, Warning::new(item.name(), &words)));
            item.contradict(words);
        }
        warnings
    }

    /// What is to be said of items without a history whose failures nobody has closed.
    pub(crate) fn vanished_words(
        &self,
        book: Option<&Closings>,
        as_of: f64,
    ) -> impl Iterator<Item = Warning> {
        let open = move |known: &&KnownFailure| known.stands(known.names(), book, as_of);
        self.vanished.iter().filter(open).map(move |known| {
            let words = format!(
                "the run of {} knew a failure of {}, and all checks are gone from the records{}",
                known.read_by,
                known.finding,
                until_closed(book.is_some())
            );
            Warning::new(known.name(), words)
        })
    }

    /// Those whose items have no history in another part of the records either.
    pub(crate) fn vanished_from_both(&mut self, other: Self) {
        let elsewhere: HashSet<KnownFailure> = other.vanished.into_iter().collect();
        self.vanished.retain(|known| elsewhere.contains(known));
    }
}

/// What is said of the failures that are gone from a history, by the first that nobody has closed; `None` where all are closed.
fn words(
    history: &History<'_>,
    gone: &[KnownFailure],
    book: Option<&Closings>,
    as_of: f64,
) -> Option<String> {
    let stands = |known: &&KnownFailure| known.stands(history.item.names(), book, as_of);
    let open: Vec<&KnownFailure> = gone.iter().filter(stands).collect();
    let first = open.first()?;
    let there = history
        .date
        .iter()
        .any(|date| Some(date.floor()) == first.day());
    let became = match there {
        true => "is none by the records now",
        false => "is gone from the records",
    };
    Some(format!(
        "the failure of {}{}, which the run of {} read, {became}{}",
        first.finding,
        and_more(open.len() - 1),
        first.read_by,
        until_closed(book.is_some())
    ))
}

/// What keeps such a failure standing.
fn until_closed(is_kept: bool) -> &'static str {
    match is_kept {
        true => ", and nobody has closed its case",
        false => ", and no book of cases ([cases] file) says that a person has closed the matter",
    }
}
