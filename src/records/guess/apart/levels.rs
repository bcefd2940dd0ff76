/*! Columns that are not read and with whose words the readings of an item change their level, from day to day and
back: qualities, ranges or set points that were measured on days of their own. */

use super::follows::numbers;
use crate::records::cells::column::Column;
use crate::records::date::DateFormat;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::sample::Sample;
use std::collections::{BTreeMap, BTreeSet};

/// Most words that tell levels.
const MOST: usize = 12;

/// Chance below which it is no chance that no level reaches into another.
const CHANCE: f64 = 1e-4;

/// Share of the items whose levels must lie apart.
const NEARLY_ALL: f64 = 0.8;

/// Asks about such a column where neither points nor nominal values are read.
pub(crate) fn about_levels(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let stated = |column| guess.reads(column);
    let asked = guess.asks("points");
    if asked || stated(Column::Point) || stated(Column::Nominal) {
        return None;
    }
    let items = readings_in_time(samples, guess)?;
    let unread = guess.not_read(samples).into_iter();
    let unread = unread.filter(|sample| sample.distinct() <= 4 * MOST);
    let tells = |sample: &&Sample| {
        let words: BTreeMap<u32, &str> = sample.by_row().collect();
        let chances: Vec<Option<f64>> = items
            .values()
            .filter_map(|rows| chance_of_levels(rows, &words))
            .collect();
        let apart: Vec<f64> = chances.iter().flatten().copied().collect();
        !apart.is_empty()
            && apart.len() as f64 >= NEARLY_ALL * chances.len() as f64
            && apart.iter().sum::<f64>() < CHANCE.ln()
    };
    let sample = unread.into_iter().find(tells)?;
    let words: BTreeSet<&str> = sample.values().collect();
    let words: Vec<&str> = words.into_iter().take(3).collect();
    let answer = Answer::Points(vec![sample.header.clone()], Vec::new());
    let doubt = format!(
        "\"{}\" is not read, and the readings lie at another level with each of its words ({}): points that it tells apart ({}), or something said of one point?",
        sample.header,
        words.join(", "),
        answer.stated()
    );
    let doubt = Doubt::new("points", doubt)
        .settled_by("point_from")
        .or("one point", Answer::AsTaken)
        .or("points that it tells apart", answer);
    Some(doubt)
}

/// The rows of each item with their readings, in the order of their dates.
fn readings_in_time<'a>(
    samples: &'a [Sample],
    guess: &Guess,
) -> Option<BTreeMap<&'a str, Vec<(u32, f64)>>> {
    let of = |column| guess.sample(samples, column);
    let readings = numbers(of(Column::AsFound)?, guess.marks());
    let format = DateFormat::from_setting(&guess.date_format);
    let days = of(Column::Date)?.by_row();
    let days: BTreeMap<u32, f64> = days
        .filter_map(|(row, text)| Some((row, format.parse(text)?)))
        .collect();
    let mut items: BTreeMap<&str, Vec<(u32, f64)>> = BTreeMap::new();
    // Where no column names the items, the table is that of one.
    let named: Option<BTreeMap<u32, &str>> =
        of(Column::Instrument).map(|names| names.by_row().collect());
    for (row, reading) in readings {
        let item = match &named {
            Some(named) => named.get(&row).copied(),
            None => Some(""),
        };
        if let (Some(item), true) = (item, days.contains_key(&row)) {
            items.entry(item).or_default().push((row, reading));
        }
    }
    let day = |row: &u32| days.get(row).copied().unwrap_or_default();
    for rows in items.values_mut() {
        rows.sort_by(|(a, _), (b, _)| day(a).total_cmp(&day(b)));
    }
    Some(items)
}

/// The natural logarithm of the chance that readings in any order lie apart by their words as these do; `Some(None)` where they do not,
/// `None` where the rows of the item show nothing.
fn chance_of_levels(rows: &[(u32, f64)], words: &BTreeMap<u32, &str>) -> Option<Option<f64>> {
    let mut levels: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    let worded: Vec<(&str, f64)> = rows
        .iter()
        .filter_map(|(row, reading)| Some((*words.get(row)?, *reading)))
        .collect();
    for (word, reading) in &worded {
        levels.entry(word).or_default().push(*reading);
    }
    let shown = (2..=MOST).contains(&levels.len()) && levels.values().all(|own| own.len() > 1);
    // Words that follow each other once may go with the time, as a drift does.
    let changes = worded.windows(2).filter(|pair| pair[0].0 != pair[1].0);
    if !shown || changes.count() < levels.len() {
        return None;
    }
    let mut spans: Vec<(f64, f64)> = levels
        .values()
        .map(|own| {
            let least = own.iter().copied().fold(f64::INFINITY, f64::min);
            (least, own.iter().copied().fold(f64::NEG_INFINITY, f64::max))
        })
        .collect();
    spans.sort_by(|(a, _), (b, _)| a.total_cmp(b));
    let apart = spans.windows(2).all(|pair| pair[0].1 < pair[1].0);
    let factorial = |n: usize| (1..=n).map(|i| (i as f64).ln()).sum::<f64>();
    let own: f64 = levels.values().map(|own| factorial(own.len())).sum();
    // Of all orders of the readings, those in which each word has a stretch of its own.
    let chance = factorial(levels.len()) + own - factorial(worded.len());
    Some(apart.then_some(chance))
}
