/*! Set points about which a reference read from day to day: 99.2 to 100.9 °C is 100 °C. */

use super::same_days::SameDays;
use crate::records::cells::row::set_point::near;
use std::collections::{BTreeMap, BTreeSet};

/// Fewest days that show about which set points a reference read.
const FEWEST_DAYS: usize = 3;

/// Times that the way between two set points exceeds what a reference reads about each.
const APART: f64 = 4.0;

/// Share of the numbers that must lie near the set points found.
const NEARLY_ALL: f64 = 0.95;

/// Most set points that are proposed; a longer list nobody reads.
const MOST: usize = 40;

/// What a reference read, in rising order for each item and day, on the days with the usual number of rows.
pub(super) struct Read<'a> {
    pub days: Vec<(&'a str, Vec<f64>)>,
    all: Vec<f64>,
}

impl<'a> Read<'a> {
    pub(crate) fn of(days: &SameDays<'a>, numbers: &BTreeMap<u32, f64>) -> Self {
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
    pub(crate) fn set_points(&self) -> Option<Vec<f64>> {
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
    pub(super) fn mostly_steady(&self) -> bool {
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
