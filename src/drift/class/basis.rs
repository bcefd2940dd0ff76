/*! What a class learns its parameters from: which members, and which of their checks.

A large class learns from the record up to the end of the last calendar year, so that its
parameters are those of one review a year: in between, a new check moves the decision of its
own instrument and of no other, and the classes of last month's run still hold. A class whose
record this would shorten by much, and a small one, learn from all there is.
*/

use crate::drift::class::rates::tolerance_scale;
use crate::records::{Histories, History, Item, date};
use chrono::{Datelike, NaiveDate};

/// Histories of a class that enter its parameters; larger classes are thinned.
const SAMPLE_HISTORIES: usize = 300;

/// Checks beyond which a class of long histories is thinned further: these pin down the wander
/// and the scatter to about 1 % already.
const SAMPLE_CHECKS: usize = 12_000;

/// Histories that are kept however long they are: what differs between members, such as the
/// drift, is learned from their number.
const LEAST_SAMPLE_HISTORIES: usize = 100;

/// Checks in earlier years that settle a class: they pin down its scatter to about 2 %
/// (1/√2000). Our own choice, no source.
const SETTLED_CHECKS: usize = 1_000;

/// Least share of its checks that a class must have from earlier years to learn from them
/// alone: leaving out a third widens what is known by a fifth (√1.5) at most. Our own choice,
/// no source.
const SETTLED_SHARE: f64 = 2.0 / 3.0;

/// The part of the members' records that a class learns from.
#[derive(Debug, Clone)]
pub(crate) struct Basis<'a> {
    /// The histories, in the members' order, each up to the last check that enters.
    pub histories: Vec<History<'a>>,
    /// How many members each of them stands for.
    pub step: usize,
    /// True where every member states a tolerance that can serve as its unit.
    pub by_tolerance: bool,
    /// The day from which on checks do not enter, days since 1970-01-01; `None`: all enter.
    pub before: Option<f64>,
}

impl<'a> Basis<'a> {
    /// The group that its members state, empty where none does.
    pub(crate) fn group(&self) -> &'a str {
        self.histories
            .first()
            .map_or("", |history| &history.item.group)
    }

    /// What the class of `members` learns from.
    pub(crate) fn of(histories: &'a Histories, members: &[u32]) -> Self {
        let all = members.iter().map(|&i| histories.get(i as usize));
        let by_tolerance = all
            .clone()
            .all(|history| tolerance_scale(history.item).is_some());
        let before = settled_before(all.clone());
        let known = |history: History<'a>| match before {
            Some(day) => history.first(history.date.partition_point(|date| *date < day)),
            None => history,
        };
        let entering = all
            .map(known)
            .filter(|history| before.is_none() || !history.is_empty());
        let step = thinning(entering.clone());
        Self {
            histories: thinned(entering.collect(), step),
            step,
            by_tolerance,
            before,
        }
    }
}

/// First day of the year of the newest check, where the checks before it settle the class.
fn settled_before<'a>(members: impl Iterator<Item = History<'a>> + Clone) -> Option<f64> {
    let last = members.clone().filter_map(|h| h.date.last().copied());
    let newest = date::calendar(last.fold(f64::NEG_INFINITY, f64::max))?;
    let day = date::days_of(NaiveDate::from_ymd_opt(newest.year(), 1, 1)?);
    let (mut informed, mut before, mut all) = (0, 0, 0);
    for history in members {
        let earlier = history.date.partition_point(|date| *date < day);
        informed += usize::from(earlier > 1);
        before += earlier;
        all += history.len();
    }
    let settled = informed >= LEAST_SAMPLE_HISTORIES
        && before >= SETTLED_CHECKS
        && before as f64 >= SETTLED_SHARE * all as f64;
    settled.then_some(day)
}

/// One in how many histories enters.
fn thinning<'a>(histories: impl Iterator<Item = History<'a>>) -> usize {
    let (number, checks) = histories.fold((0, 0), |(n, sum), h| (n + 1, sum + h.len()));
    let by_checks = checks / SAMPLE_CHECKS;
    let most = number / LEAST_SAMPLE_HISTORIES;
    let by_number = number.div_ceil(SAMPLE_HISTORIES);
    by_number.max(by_checks.min(most)).max(1)
}

/// One in `step` histories, chosen by their names alone: every `step`-th in order would take one
/// kind of a fleet whose kinds alternate. In order, as they came.
fn thinned(histories: Vec<History<'_>>, step: usize) -> Vec<History<'_>> {
    if step == 1 {
        return histories;
    }
    let number = histories.len().div_ceil(step);
    let mut places: Vec<usize> = (0..histories.len()).collect();
    places.sort_by_cached_key(|&i| (lot(histories[i].item), i));
    places.truncate(number);
    places.sort_unstable();
    places.into_iter().map(|i| histories[i]).collect()
}

/// A number that a history's name gives, the same on every machine: FNV-1a (IETF draft
/// `draft-eastlake-fnv`), its bits then mixed (S. Vigna's SplitMix64), since names that count up
/// differ in their last letter. Constants of both from memory.
fn lot(item: &Item) -> u64 {
    const BASIS: u64 = 0xcbf2_9ce4_8422_2325;
    const PRIME: u64 = 0x0000_0100_0000_01b3;
    let letters = item.instrument.bytes().chain([0]).chain(item.point.bytes());
    let hash = letters.fold(BASIS, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(PRIME)
    });
    let mixed = (hash ^ (hash >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    mixed ^ (mixed >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::testing::*;

    /// 2020-01-01.
    const FIRST_DAY: f64 = 18_262.0;

    /// `members` checked every quarter for `years` years, in tolerances of ±1; drifts and noise
    /// by a simple rule.
    fn class(members: usize, years: usize) -> Histories {
        let record = |member: usize| {
            let drift = 0.02 * (member % 10) as f64;
            (0..4 * years).fold(Record::new(), |record, check| {
                let noise = ((member * 7 + check * 13) % 17) as f64 / 17.0 - 0.5;
                let day = FIRST_DAY + 10.0 + 91.0 * check as f64;
                record.check(day, 0.25 * drift * check as f64 + 0.1 * noise)
            })
        };
        fleet((0..members).map(record))
    }

    fn basis(all: &Histories) -> Basis<'_> {
        let members: Vec<u32> = (0..all.len() as u32).collect();
        Basis::of(all, &members)
    }

    #[test]
    fn a_settled_class_learns_from_the_years_before() {
        let all = class(120, 5);
        let settled = basis(&all);
        let first_of_2024 = FIRST_DAY + 4.0 * 365.25;
        assert_eq!(settled.before, Some(first_of_2024));
        let rows: Vec<usize> = settled.histories.iter().map(History::len).collect();
        assert_eq!(rows, vec![16; 120]);
        assert!(settled.by_tolerance);
    }

    #[test]
    fn a_small_or_young_class_learns_from_everything() {
        for (members, years) in [(99, 5), (120, 2), (120, 1)] {
            let all = class(members, years);
            let young = basis(&all);
            assert_eq!(young.before, None, "{members} members, {years} years");
            let entering: usize = young.histories.iter().map(History::len).sum();
            assert_eq!(entering, all.columns.date.len());
        }
        // Enough checks, but a third and more of them this year.
        let mut all = class(400, 2);
        assert_eq!(basis(&all).before, None);
        all = class(400, 3);
        assert!(basis(&all).before.is_some());
        assert_eq!(basis(&all).step, 2);
    }

    #[test]
    fn this_years_readings_of_others_change_no_fit() {
        let all = class(120, 5);
        let settings = DriftSettings::default();
        let known = class_parameters(&all, &settings);
        let mut changed = all.clone();
        let last_of_first = all.offsets[1] - 1;
        changed.columns.as_found[last_of_first] += 0.3;
        assert_eq!(class_parameters(&changed, &settings), known);
        let words = known.parameters[0].learned_words().unwrap();
        says!(words, "120 histories, their checks before 2024-01-01");
        changed.columns.as_found[last_of_first - 4] += 0.3;
        assert_ne!(class_parameters(&changed, &settings), known);
    }

    /// Of two kinds that take turns, a thousand histories, about as many of each are chosen.
    #[test]
    fn a_thinned_class_learns_from_both_of_two_alternating_kinds() {
        let mut all = class(1_000, 5);
        for (i, item) in all.items.iter_mut().enumerate() {
            item.instrument = format!("G-{i:04}");
        }
        let found = basis(&all);
        assert_eq!(found.step, 4);
        assert_eq!(found.histories.len(), 250);
        let even = |name: &str| name.ends_with(['0', '2', '4', '6', '8']);
        let names = found.histories.iter().map(|h| h.item.instrument.as_str());
        let of_one_kind = names.clone().filter(|name| even(name)).count();
        // Five standard deviations of a fair choice: 5·√(250·¼).
        assert!(of_one_kind.abs_diff(125) < 40, "{of_one_kind}");
        assert!(names.is_sorted());
    }
}
