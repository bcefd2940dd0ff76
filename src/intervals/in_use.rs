/*! The interval in use where nobody states one: that of the settings, held against the record.

What is due, overdue, kept or extended counts from the interval in use. Where neither register, checks
nor approval state it and the record shows that the item is calibrated at another distance, the
setting stands for something that nobody does, and that is said.
*/

use super::Evidence;
use crate::records::settings::words::TimeUnit;
use crate::records::{CheckKind, Histories, History, Warning};
use crate::stats::median;
use crate::words::{and_others, count, days};
use rayon::prelude::*;

/// Fewest distances that tell a usual one.
const FEWEST: usize = 2;
/// As many of the newest count: an interval changes over the years.
const NEWEST: usize = 5;
/// Distances that differ by less than this factor are of one interval: calibrations come early and late.
const SAME: f64 = 1.5;
/// A distance that many times the interval in use, give or take this share, is of that interval in another unit.
const SAME_UNIT: f64 = 0.25;

/// Usual distance of the days that an interval counts from (calibrations, where the record tells them from
/// checks), whole days; `None` where fewer than two distances are on record.
fn usual_distance(history: &History<'_>) -> Option<f64> {
    let told_apart = history.kind.contains(&CheckKind::Calibration);
    let counts = |row: &usize| !told_apart || history.kind[*row] == CheckKind::Calibration;
    let rows = (0..history.len()).rev().filter(counts);
    let mut newest: Vec<f64> = rows.map(|row| history.date[row].floor()).collect();
    newest.dedup();
    let distances: Vec<f64> = newest.windows(2).map(|pair| pair[0] - pair[1]).collect();
    let distances = &distances[..distances.len().min(NEWEST)];
    (distances.len() >= FEWEST).then(|| median(distances).round())
}

/// Whether the two are no longer one interval that is kept early and late.
fn differ(one: f64, other: f64) -> bool {
    one > other * SAME || other > one * SAME
}

/// The usual distance of the record where `taken` days stand for an interval that nobody states and are another one.
fn contradicted(history: &History<'_>, taken: f64) -> Option<f64> {
    let unstated = history.item.interval_days.is_none() && !history.item.status.is_gone();
    let usual = unstated.then(|| usual_distance(history)).flatten()?;
    differ(usual, taken).then_some(usual)
}

/// "No interval in use is stated, and 365 d are taken, although its checks usually lie 182 d apart"; `None` where
/// one is stated or the record does not contradict the one that is taken.
pub(crate) fn unstated(evidence: &Evidence<'_>) -> Option<String> {
    let usual = contradicted(&evidence.history, evidence.current_interval)?;
    Some(format!(
        "No interval in use is stated, and {} are taken, although its checks usually lie {} apart",
        days(evidence.current_interval),
        days(usual)
    ))
}

/// Usual distance of the checks of nearly all `histories` whose interval in use is not stated, days; `None` where they have
/// none in common, or that of `taken` days.
pub(crate) fn common_distance(histories: &Histories, taken: f64) -> Option<f64> {
    /// As many have it in common, of all that tell one.
    const NEARLY_ALL: f64 = 0.8;
    let unstated = histories
        .par_iter()
        .filter(|h| h.item.interval_days.is_none());
    let usual: Vec<f64> = unstated.filter_map(|h| usual_distance(&h)).collect();
    let common = median(&usual).round();
    let alike = usual.iter().filter(|days| !differ(**days, common)).count();
    let told = alike > 0 && alike as f64 >= NEARLY_ALL * usual.len() as f64;
    (told && differ(common, taken)).then_some(common)
}

/// The first history whose interval in use is far shorter than the usual distance of its checks, or is not stated, with
/// both, days; `None` where that holds for less than half of the histories.
pub(crate) fn stated_far_shorter(histories: &Histories) -> Option<(String, Option<f64>, f64)> {
    let known = histories.par_iter().filter_map(|history| {
        let usual = usual_distance(&history)?;
        Some((history.item, history.item.interval_days, usual))
    });
    let known: Vec<_> = known.collect();
    let shorter =
        |stated: Option<f64>, usual: f64| stated.is_none_or(|stated| stated * SAME < usual);
    let found = known
        .iter()
        .filter(|(_, stated, usual)| shorter(*stated, *usual));
    let (item, stated, usual) = found.clone().next()?;
    (2 * found.count() >= known.len()).then(|| (item.name(), *stated, *usual))
}

/// What is said of intervals in use that are stated in days and by the record seem to be in weeks, months or years: the first
/// of them, and how many.
pub(crate) fn in_another_unit(histories: &Histories) -> Option<Warning> {
    let unit = |history: History<'_>| {
        let stated = history.item.interval_days?;
        let usual = usual_distance(&history)?;
        let mut longer = TimeUnit::ALL
            .into_iter()
            .filter(|unit| *unit != TimeUnit::Days);
        let is_in = |unit: &TimeUnit| (usual / unit.days(stated) - 1.0).abs() < SAME_UNIT;
        let unit = longer.find(is_in)?;
        Some((history.item.name(), stated, usual, unit.word()))
    };
    let found: Vec<_> = histories.par_iter().filter_map(unit).collect();
    let (name, stated, usual, unit) = found.first()?;
    let words = format!(
        "an interval in use of {} is stated for {name}{}, whose checks usually lie {} apart: if it is in {unit}, state interval_in = \"{unit}\" where it is read ([register] or [checks])",
        days(*stated),
        and_others(found.len() - 1),
        days(*usual)
    );
    Some(Warning::new("intervals", words))
}

/// Histories whose interval in use nobody states and whose record contradicts the one that is taken.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Unstated {
    histories: usize,
    /// The first of them.
    first: Option<(String, f64)>,
    /// Shortest and longest of their usual distances, days.
    range: Option<(f64, f64)>,
}

impl Unstated {
    /// Those of `histories`, where `taken` days stand for what is not stated.
    pub(crate) fn of(histories: &Histories, taken: f64) -> Self {
        let one = |index| {
            let history = histories.get(index);
            let usual = contradicted(&history, taken)?;
            Some((index, usual))
        };
        let found: Vec<(usize, f64)> = (0..histories.len())
            .into_par_iter()
            .filter_map(one)
            .collect();
        let mut all = Self::default();
        for (index, usual) in found {
            let first = || (histories.get(index).item.name(), usual);
            all.add(Self {
                histories: 1,
                first: all.first.is_none().then(first),
                range: Some((usual, usual)),
            });
        }
        all
    }

    /// Adds those of another part of the fleet.
    pub(crate) fn add(&mut self, other: Self) {
        self.histories += other.histories;
        self.first = self.first.take().or(other.first);
        self.range = match (self.range, other.range) {
            (Some(one), Some(two)) => Some((one.0.min(two.0), one.1.max(two.1))),
            (one, two) => one.or(two),
        };
    }

    /// What is said of them, where `taken` days stand for what is not stated.
    pub(crate) fn warning(&self, taken: f64) -> Option<Warning> {
        let (first, (least, most)) = (self.first.as_ref()?, self.range?);
        let which = match self.histories {
            1 => format!(
                "the checks of {} usually lie {} apart",
                first.0,
                days(least)
            ),
            several => {
                let range = match least == most {
                    true => days(least),
                    false => format!("{} to {}", days(least), days(most)),
                };
                let those = count(several, "history");
                let (name, own) = (&first.0, days(first.1));
                format!("those of {those} usually lie {range} apart ({name}: {own})")
            }
        };
        let words = format!(
            "no interval in use is stated and {} are taken, although {which}: what is due, overdue, kept or extended counts from it. \
             State interval_days in a register, or current_interval_days under [intervals]",
            days(taken)
        );
        Some(Warning::new("interval in use", words))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::*;

    /// A check every `distance` days.
    fn checked(distances: &[f64]) -> Record {
        let mut day = 0.0;
        distances
            .iter()
            .fold(Record::new().check(day, 0.1), |record, distance| {
                day += distance;
                record.check(day, 0.1)
            })
    }

    #[test]
    fn the_newest_distances_tell_the_usual_one() {
        let usual = |distances: &[f64]| usual_distance(&checked(distances).histories().get(0));
        assert_eq!(usual(&[365.0]), None);
        assert_eq!(usual(&[365.0, 367.0]), Some(366.0));
        let halved = [
            365.0, 365.0, 365.0, 365.0, 182.0, 183.0, 180.0, 184.0, 182.0,
        ];
        assert_eq!(usual(&halved), Some(182.0));
        assert_eq!(usual(&[0.0, 365.0, 0.0]), None);
    }

    /// 12 for a year was taken for days without a word, and everything was overdue.
    #[test]
    fn an_interval_in_months_that_is_read_as_days_is_told() {
        let told = |stated: f64| {
            let mut record = checked(&[364.0, 367.0, 366.0]);
            record.item.interval_days = Some(stated);
            in_another_unit(&record.histories()).map(|warning| warning.words)
        };
        assert!(told(12.0).unwrap().contains("interval_in = \"months\""));
        assert!(told(1.0).unwrap().contains("interval_in = \"years\""));
        assert!(told(52.0).unwrap().contains("interval_in = \"weeks\""));
        for days in [365.0, 182.0, 730.0, 90.0] {
            assert_eq!(told(days), None, "{days}");
        }
    }

    #[test]
    fn an_interval_that_nobody_states_is_held_against_the_record() {
        let fit = unfitted(Status::LevelOnly);
        let told = |distances: &[f64], stated: Option<f64>| {
            let mut record = checked(distances);
            record.item.interval_days = stated;
            let histories = record.histories();
            let warned = Unstated::of(&histories, 365.0).warning(365.0);
            let told = unstated(&evidence(&histories, &fit));
            assert_eq!(told.is_some(), warned.is_some());
            told
        };
        assert_eq!(
            told(&[182.0, 184.0, 182.0], None).as_deref(),
            Some(
                "No interval in use is stated, and 365 d are taken, although its checks usually lie 182 d apart"
            )
        );
        assert_eq!(told(&[182.0, 184.0, 182.0], Some(365.0)), None);
        assert_eq!(told(&[300.0, 420.0, 390.0], None), None);
        assert_eq!(told(&[730.0], None), None);
    }

    #[test]
    fn a_distance_in_common_is_that_of_nearly_all() {
        let common = |distances: &[f64]| common_distance(&checked(distances).histories(), 365.0);
        assert_eq!(common(&[182.0, 183.0, 182.0]), Some(182.0));
        assert_eq!(common(&[360.0, 371.0]), None);
        assert_eq!(common(&[182.0]), None);
    }

    #[test]
    fn parts_of_a_fleet_add_up() {
        let of = |distances: &[f64]| Unstated::of(&checked(distances).histories(), 365.0);
        let mut all = of(&[30.0, 30.0]);
        all.add(of(&[365.0, 365.0]));
        all.add(of(&[730.0, 731.0, 730.0]));
        let words = all.warning(365.0).unwrap().words;
        says!(
            words,
            "although those of 2 histories usually lie 30 d to 730 d apart ("
        );
    }
}
