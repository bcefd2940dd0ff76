/*! The rows of one item and one day, or of a few days, where there are several: repeats of one reading, or several
points. */

use crate::records::cells::column::Column;
use crate::records::date::DateFormat;
use crate::records::guess::draft::Guess;
use crate::records::guess::sample::Sample;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Fewest days with several rows that show what tells them apart.
const FEWEST: usize = 2;

/// Days from the first to the last of a few days on which the points of an item are checked one after the other,
/// and the most rows of them. Common practice, no source.
const FEW_DAYS: f64 = 31.0;
const MOST_ROWS: usize = 12;

/// Share of days, or of rows, that are nearly all. Common practice, no source.
const NEARLY_ALL: f64 = 0.8;

/// What the rows of a day are of, in words.
pub(super) const ONE_DAY: &str = "a day";

/// Days of items with several rows each.
pub(crate) struct SameDays<'a> {
    /// The item of each day, with the rows.
    pub days: Vec<(&'a str, Vec<u32>)>,
    /// What they are, in words: "a day".
    pub each: &'static str,
}

impl<'a> SameDays<'a> {
    /// The days on which an item, at one of its points where columns state them, has several rows;
    /// `None` where they are too few to show anything.
    pub(crate) fn of(samples: &'a [Sample], guess: &Guess, points: &[Column]) -> Option<Self> {
        let mut all = readings(samples, guess, points)?;
        // Rows of one day stay in their order.
        all.sort_by(|a, b| a.of_day().cmp(&b.of_day()));
        let days = all.chunk_by(|a, b| a.of_day() == b.of_day());
        let several = days.filter(|rows| rows.len() > 1);
        let own = |rows: &[Reading<'a>]| (rows[0].item, rows.iter().map(|own| own.row).collect());
        let days: Vec<(&str, Vec<u32>)> = several.map(own).collect();
        let each = ONE_DAY;
        (days.len() >= FEWEST).then_some(SameDays { days, each })
    }

    /// The same of a few days, far from the next ones, on each of which an item has one row: its points may be
    /// checked one after the other.
    pub(super) fn of_few_days(
        samples: &'a [Sample],
        guess: &Guess,
        points: &[Column],
    ) -> Option<Self> {
        let format = DateFormat::from_setting(&guess.date_format);
        let mut rows: BTreeMap<Vec<&str>, Vec<(f64, u32)>> = BTreeMap::new();
        for reading in readings(samples, guess, points)? {
            if let Some(date) = format.parse(reading.date) {
                let key = std::iter::once(reading.item).chain(reading.points);
                let own = rows.entry(key.collect()).or_default();
                own.push((date, reading.row));
            }
        }
        let days: Vec<(&str, Vec<u32>)> = rows
            .into_iter()
            .flat_map(|(key, rows)| few_days(rows).into_iter().map(move |rows| (key[0], rows)))
            .collect();
        let each = "a few days";
        (days.len() >= FEWEST).then_some(SameDays { days, each })
    }

    /// True where on nearly all of these days each row has a label of its own.
    pub(super) fn are_told_apart<L: Ord>(&self, label: impl Fn(u32) -> Option<L>) -> bool {
        self.mostly(|rows| {
            let own: BTreeSet<L> = rows.iter().filter_map(|row| label(*row)).collect();
            own.len() == rows.len()
        })
    }

    /// True where a test holds on nearly all of these days.
    pub(crate) fn mostly(&self, test: impl Fn(&[u32]) -> bool) -> bool {
        let fitting = self.days.iter().filter(|(_, rows)| test(rows)).count();
        fitting as f64 >= NEARLY_ALL * self.days.len() as f64
    }
}

/// A row that is no row as left, with what it is of.
struct Reading<'a> {
    row: u32,
    item: &'a str,
    date: &'a str,
    /// What the columns of points say.
    points: Vec<&'a str>,
}

impl<'a> Reading<'a> {
    /// What tells its day from those of others.
    fn of_day(&self) -> (&'a str, &'a str, &[&'a str]) {
        (self.item, day(self.date), &self.points)
    }
}

/// The readings of a table, by row; `None` where no column has the dates. Where none names the items, the table is
/// that of one.
fn readings<'a>(
    samples: &'a [Sample],
    guess: &Guess,
    points: &[Column],
) -> Option<Vec<Reading<'a>>> {
    let of = |column| {
        let sample = guess.sample(samples, column)?;
        Some(sample.by_row().collect::<HashMap<u32, &str>>())
    };
    let items = of(Column::Instrument);
    let dates = guess.sample(samples, Column::Date)?.by_row();
    let item_of = |row: &u32| match &items {
        Some(items) => items.get(row).copied(),
        None => Some(""),
    };
    let stated: Vec<_> = points.iter().filter_map(|column| of(*column)).collect();
    let left = rows_as_left(samples, guess);
    let found = dates.filter_map(|(row, date)| {
        let item = item_of(&row).filter(|_| !left.contains(&row))?;
        let points = stated.iter().filter_map(|column| column.get(&row).copied());
        Some(Reading {
            row,
            item,
            date,
            points: points.collect(),
        })
    });
    Some(found.collect())
}

/// The rows of an item by runs of a few days, where nearly all stand in such runs, each at least twice as far from the
/// next ones as it is long: of checks each month two stand near each other by chance.
fn few_days(mut rows: Vec<(f64, u32)>) -> Vec<Vec<u32>> {
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    let runs: Vec<&[(f64, u32)]> = rows.chunk_by(|a, b| b.0 - a.0 <= FEW_DAYS).collect();
    let ends = |run: &[(f64, u32)]| Some((run.first()?.0, run.last()?.0));
    let mut several = Vec::new();
    for (place, run) in runs.iter().enumerate() {
        let Some((first, last)) = ends(run) else {
            continue;
        };
        let before = place.checked_sub(1).and_then(|place| ends(runs[place]));
        let after = runs.get(place + 1).and_then(|run| ends(run));
        let before = before.map_or(f64::INFINITY, |(_, end)| first - end);
        let after = after.map_or(f64::INFINITY, |(begin, _)| begin - last);
        let length = last - first;
        let far = before.min(after) >= 2.0 * length;
        if far && length <= FEW_DAYS && (2..=MOST_ROWS).contains(&run.len()) {
            several.push(run.iter().map(|(_, row)| *row).collect::<Vec<u32>>());
        }
    }
    let within: usize = several.iter().map(Vec::len).sum();
    match within as f64 >= NEARLY_ALL * rows.len() as f64 {
        true => several,
        false => Vec::new(),
    }
}

/// The rows that state what was left: no readings of their own.
fn rows_as_left(samples: &[Sample], guess: &Guess) -> BTreeSet<u32> {
    let Some((header, words)) = &guess.left_rows else {
        return BTreeSet::new();
    };
    let sample = samples.iter().find(|sample| sample.header == *header);
    let rows = sample.into_iter().flat_map(Sample::by_row);
    rows.filter(|(_, text)| words.iter().any(|word| word == text))
        .map(|(row, _)| row)
        .collect()
}

/// A moment without its time of day.
fn day(moment: &str) -> &str {
    match moment.find(':') {
        None => moment,
        Some(colon) => {
            let end = moment[..colon].rfind([' ', 'T']);
            end.map_or(moment, |end| &moment[..end])
        }
    }
}
