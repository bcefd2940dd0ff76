/*! Columns of numbers that are not read and tell apart the rows of one item and day: set points, or what a
reference read near them. */

use super::draft::{Guess, header_of};
use super::follows::numbers;
use super::headers::{headed, names_points};
use super::same_days::SameDays;
use super::sample::Sample;
use crate::records::cells::column::Column;
use crate::records::cells::set_point::near;
use std::collections::{BTreeMap, BTreeSet};

/// Share of the days of an item on which each of its set points comes back, on average. Common practice,
/// no source.
const COMES_BACK: f64 = 0.6;

/// Fewest days that show about which set points a reference read.
const FEWEST_DAYS: usize = 3;

/// Times that the way between two set points exceeds what a reference reads about each.
const APART: f64 = 4.0;

/// Share of the numbers that must lie near the set points found.
const NEARLY_ALL: f64 = 0.95;

/// Most set points that are proposed; a longer list nobody reads.
const MOST: usize = 40;

/// A column of numbers that tells points apart.
pub(super) struct Apart<'a> {
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
pub(super) fn numbers_apart<'a>(
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
    let unread = samples
        .iter()
        .filter(|sample| guess.ignored.contains(&sample.header) && !stated(sample));
    let found = unread.filter_map(|sample| {
        let numbers = numbers(sample, marks);
        let enough = numbers.len() as f64 >= 0.8 * sample.values().count() as f64;
        let (sureness, apart) = enough.then(|| apart(&sample.header, &numbers, days))??;
        let named = names_points(&sample.header) || headed(&sample.header, Column::Nominal);
        let reading = [Column::AsFound, Column::AsLeft].map(|c| headed(&sample.header, c));
        Some(((reading.contains(&true), sureness, !named), apart))
    });
    found.min_by_key(|(key, _)| *key).map(|(_, apart)| apart)
}

/// The set points about which the nominal values of a day lie; none where each is its own or they are of one.
pub(super) fn nominal_set_points(
    samples: &[Sample],
    guess: &Guess,
    days: &SameDays<'_>,
) -> Vec<f64> {
    let marks = guess.marks();
    let header = header_of(guess, Column::Nominal);
    let sample = samples
        .iter()
        .find(|sample| Some(&sample.header) == header.as_ref());
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

/// What a reference read, in rising order for each item and day, on the days with the usual number of rows.
struct Read<'a> {
    days: Vec<(&'a str, Vec<f64>)>,
    all: Vec<f64>,
}

impl<'a> Read<'a> {
    fn of(days: &SameDays<'a>, numbers: &BTreeMap<u32, f64>) -> Self {
        let rising = |(item, rows): &(&'a str, Vec<u32>)| {
            let mut own: Vec<f64> = rows
                .iter()
                .filter_map(|r| numbers.get(r))
                .copied()
                .collect();
            own.sort_by(f64::total_cmp);
            (*item, own)
        };
        Read {
            days: days.days.iter().map(rising).collect(),
            all: numbers.values().copied().collect(),
        }
    }

    /// The set points about which all of it lies: those of all items together, else those of each.
    fn set_points(&self) -> Option<Vec<f64>> {
        let together = clusters(self.days.iter().map(|(_, day)| day.as_slice()));
        let each = || {
            let own = self.by_item().filter_map(|days| clusters(days.into_iter()));
            own.flatten().collect()
        };
        let mut points = together.unwrap_or_else(each);
        points.sort_by(f64::total_cmp);
        points.dedup();
        let lie_near = self.all.iter().filter(|v| near(&points, **v).is_some());
        let fits = (2..=MOST).contains(&points.len())
            && lie_near.count() as f64 >= NEARLY_ALL * self.all.len() as f64
            && self.days.iter().all(|(_, day)| {
                let own: BTreeSet<_> = day
                    .iter()
                    .filter_map(|v| near(&points, *v))
                    .map(f64::to_bits)
                    .collect();
                own.len() > 1
            });
        fits.then_some(points)
    }

    /// True where most items were read about steady set points of their own.
    fn mostly_steady(&self) -> bool {
        let items = self.by_item().count();
        let steady = self
            .by_item()
            .filter(|days| clusters(days.iter().copied()).is_some());
        2 * steady.count() > items
    }

    fn by_item(&self) -> impl Iterator<Item = Vec<&[f64]>> {
        let mut items: BTreeMap<&str, Vec<&[f64]>> = BTreeMap::new();
        for (item, day) in &self.days {
            items.entry(item).or_default().push(day);
        }
        items.into_values()
    }
}

/// The set points of days whose numbers, in rising order, lie about the same few: the first of each day about
/// the first of the others, and so on. `None` where they do not.
fn clusters<'d>(days: impl Iterator<Item = &'d [f64]>) -> Option<Vec<f64>> {
    let days: Vec<&[f64]> = days.collect();
    let mut lengths: BTreeMap<usize, usize> = BTreeMap::new();
    days.iter()
        .for_each(|day| *lengths.entry(day.len()).or_default() += 1);
    let (usual, _) = lengths.into_iter().max_by_key(|(_, times)| *times)?;
    let days: Vec<&[f64]> = days.into_iter().filter(|day| day.len() == usual).collect();
    if days.len() < FEWEST_DAYS || usual < 2 {
        return None;
    }
    let spans: Vec<(f64, f64)> = (0..usual)
        .map(|place| {
            let values = || days.iter().map(move |day| day[place]);
            (
                values().fold(f64::INFINITY, f64::min),
                values().fold(f64::NEG_INFINITY, f64::max),
            )
        })
        .collect();
    let apart = spans.windows(2).all(|pair| {
        let width = pair
            .iter()
            .map(|(low, high)| high - low)
            .fold(0.0, f64::max);
        let gap = pair[1].0 - pair[0].1;
        gap > 0.0 && gap >= APART * width
    });
    apart.then(|| {
        spans
            .iter()
            .map(|(low, high)| shortest_between(*low, *high))
            .collect()
    })
}

/// The number with the fewest digits from `low` to `high`, the nearest to their middle where several are.
fn shortest_between(low: f64, high: f64) -> f64 {
    if low <= 0.0 && high >= 0.0 {
        return 0.0;
    }
    let middle = low + (high - low) / 2.0;
    let size = low.abs().max(high.abs()).log10().ceil();
    (0..17)
        .map(|digit| {
            let exponent = size as i32 - digit;
            let step = 10f64.powi(exponent.abs());
            // Multiplied by a whole power of ten, a decimal number stays as it is written.
            match exponent < 0 {
                true => (middle * step).round() / step,
                false => (middle / step).round() * step,
            }
        })
        .find(|rounded| (low..=high).contains(rounded))
        .unwrap_or(middle)
}

#[cfg(test)]
mod tests {
    use super::shortest_between;

    #[test]
    fn a_set_point_is_the_shortest_number_among_what_was_read() {
        let found = |low, high| shortest_between(low, high);
        assert_eq!(found(398.9, 401.2), 400.0);
        assert_eq!(found(-0.02, 0.01), 0.0);
        assert_eq!(found(99.2, 100.9), 100.0);
        assert_eq!(found(34.98, 35.03), 35.0);
        assert_eq!(found(-38.86, -38.82), -38.84);
        assert_eq!(found(0.0998, 0.1003), 0.1);
        assert_eq!(found(1.23e-7, 1.26e-7), 1.24e-7);
        assert_eq!(found(5.0, 5.0), 5.0);
    }
}
