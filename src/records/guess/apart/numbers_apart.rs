/*! Columns of numbers that are not read and tell apart the rows of one item and day: set points, or what a
reference read near them. */

use super::follows::numbers;
use super::near_points::Read;
use super::same_days::SameDays;
use crate::records::cells::column::Column;
use crate::records::guess::draft::Guess;
use crate::records::guess::headers::{counted, headed, names_points};
use crate::records::guess::sample::Sample;
use std::collections::{BTreeMap, BTreeSet};

/// Share of the days of an item on which each of its set points comes back, on average. Common practice,
/// no source.
const COMES_BACK: f64 = 0.6;

/// A column of numbers that tells points apart.
pub(crate) struct Apart<'a> {
    pub header: &'a str,
    /// Where a reference read near them: the set points; empty where each number is its own.
    pub set_points: Vec<f64>,
    /// True where a reference read near set points that the numbers do not tell.
    pub is_open: bool,
    /// True where each row of a day has a number of its own, which comes back on other days.
    pub tells_each: bool,
    /// Some of its points.
    pub example: Vec<f64>,
}

/// The column of numbers, if any, that best tells apart the rows of a day.
pub(crate) fn numbers_apart<'a>(
    samples: &'a [Sample],
    guess: &Guess,
    days: &SameDays<'_>,
) -> Option<Apart<'a>> {
    let marks = guess.marks();
    // What is allowed at a point, or how well it is known, may differ as the points do.
    let of_others = [
        Column::U,
        Column::Tolerance,
        Column::Lower,
        Column::Upper,
        Column::InTolerance,
    ];
    let stated = |sample: &&Sample| of_others.iter().any(|c| headed(&sample.header, *c));
    let unread = guess.not_read(samples).into_iter();
    let found = unread
        .filter(|sample| !stated(sample))
        .filter_map(|sample| {
            let numbers = numbers(sample, marks);
            let enough = numbers.len() as f64 >= 0.8 * sample.values().count() as f64;
            let (sureness, apart) = enough.then(|| apart(&sample.header, &numbers, days))??;
            let named = names_points(&sample.header) || headed(&sample.header, Column::Nominal);
            let reading = [Column::AsFound, Column::AsLeft].map(|c| headed(&sample.header, c));
            let reading = reading.contains(&true) || is_one_of_several(sample, samples);
            Some(((reading, sureness, !named), apart))
        });
    found.min_by_key(|(key, _)| *key).map(|(_, apart)| apart)
}

/// True for a column whose header only counts on from others: R1, R2, R3 are readings of one point.
fn is_one_of_several(sample: &Sample, samples: &[Sample]) -> bool {
    let stem = counted(&sample.header);
    let others = samples.iter().filter(|other| other.header != sample.header);
    stem.is_some()
        && others
            .into_iter()
            .any(|other| counted(&other.header) == stem)
}

/// The set points about which the nominal values of a day lie; none where each is its own or they are of one.
pub(super) fn nominal_set_points(
    samples: &[Sample],
    guess: &Guess,
    days: &SameDays<'_>,
) -> Vec<f64> {
    let marks = guess.marks();
    let sample = guess.sample(samples, Column::Nominal);
    let found = sample.and_then(|sample| apart(&sample.header, &numbers(sample, marks), days));
    found.map_or(Vec::new(), |(_, apart)| apart.set_points)
}

/// Whether and how a column of numbers tells points apart, and its place among the ways, the surest first.
fn apart<'a>(
    header: &'a str,
    numbers: &BTreeMap<u32, f64>,
    days: &SameDays<'_>,
) -> Option<(u8, Apart<'a>)> {
    let label = |row: u32| numbers.get(&row).map(|value| (value + 0.0).to_bits());
    let several = days.mostly(|rows| {
        let own: BTreeSet<u64> = rows.iter().filter_map(|row| label(*row)).collect();
        own.len() > 1
    });
    if !several {
        return None;
    }
    let found = |set_points: Vec<f64>, is_open, example| Apart {
        header,
        set_points,
        is_open,
        tells_each: false,
        example,
    };
    if come_back(days, numbers) {
        let first = days.days.first().map_or(&[][..], |(_, rows)| rows);
        let mut example: Vec<f64> = first
            .iter()
            .filter_map(|r| numbers.get(r))
            .copied()
            .collect();
        example.sort_by(f64::total_cmp);
        example.dedup();
        let tells_each = days.are_told_apart(label);
        let sureness = if tells_each { 0 } else { 2 };
        let found = found(Vec::new(), false, shortened(example));
        let found = Apart {
            tells_each,
            ..found
        };
        return Some((sureness, found));
    }
    let read = Read::of(days, numbers);
    match read.set_points() {
        Some(points) => {
            let example = shortened(points.clone());
            Some((1, found(points, false, example)))
        }
        None => {
            let first = read.days.first().filter(|_| read.mostly_steady())?;
            Some((3, found(Vec::new(), true, shortened(first.1.clone()))))
        }
    }
}

fn shortened(mut example: Vec<f64>) -> Vec<f64> {
    example.truncate(4);
    example
}

/// True where an item's numbers of one day are those of its other days.
fn come_back(days: &SameDays<'_>, numbers: &BTreeMap<u32, f64>) -> bool {
    let mut items: BTreeMap<&str, (usize, BTreeMap<u64, usize>)> = BTreeMap::new();
    for (item, rows) in &days.days {
        let (seen, points) = items.entry(item).or_default();
        *seen += 1;
        let own = rows.iter().filter_map(|row| numbers.get(row));
        let own: BTreeSet<u64> = own.map(|value| (value + 0.0).to_bits()).collect();
        own.iter()
            .for_each(|bits| *points.entry(*bits).or_default() += 1);
    }
    let repeated = || items.values().filter(|(days, _)| *days > 1);
    let seen: usize = repeated().flat_map(|(_, points)| points.values()).sum();
    let possible: usize = repeated().map(|(days, points)| days * points.len()).sum();
    possible > 0 && seen as f64 >= COMES_BACK * possible as f64
}
