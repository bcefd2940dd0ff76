/*! Columns that are not read and tell apart the rows of one item and day: functions, ranges, positions. Mixed,
their points would be one history. */

use super::doubt::{Answer, Doubt};
use super::draft::{Guess, header_of};
use super::sample::Sample;
use crate::records::cells::column::Column;
use std::collections::{BTreeMap, BTreeSet};

/// Fewest days of an item with several rows that show it.
const FEWEST: usize = 2;

/// Share of such days on which a column has another word in each row.
const NEARLY_ALL: f64 = 0.8;

/// Most words that tell points apart; a column with more has remarks or numbers of its own.
const MOST_WORDS: usize = 40;

/// Asks whether a column of words that is not read tells points apart, where an item has several rows a
/// day and it has another word in each.
pub(super) fn about_told_apart(samples: &[Sample], guess: &mut Guess) {
    // Rows as found and as left are asked about as such.
    if guess
        .doubts
        .iter()
        .any(|doubt| doubt.name == "left_in_rows")
    {
        return;
    }
    let by_row = |header: String| {
        let sample = samples.iter().find(|sample| sample.header == header)?;
        Some(sample.by_row().collect::<BTreeMap<u32, &str>>())
    };
    let of = |column| header_of(guess, column).and_then(by_row);
    let (Some(items), Some(dates)) = (of(Column::Instrument), of(Column::Date)) else {
        return;
    };
    let stated = [Column::Point, Column::Nominal].map(of);
    let mut days: BTreeMap<Vec<&str>, Vec<u32>> = BTreeMap::new();
    for (row, date) in &dates {
        let Some(item) = items.get(row) else {
            continue;
        };
        let points = stated.iter().flatten().filter_map(|column| column.get(row));
        let key: Vec<&str> = [*item, day(date)]
            .into_iter()
            .chain(points.copied())
            .collect();
        days.entry(key).or_default().push(*row);
    }
    days.retain(|_, rows| rows.len() > 1);
    if days.len() < FEWEST {
        return;
    }
    let tells = |sample: &&Sample| {
        let words = sample.by_row().collect::<BTreeMap<u32, &str>>();
        let apart = days.values().filter(|rows| {
            let own: BTreeSet<_> = rows.iter().filter_map(|row| words.get(row)).collect();
            own.len() == rows.len()
        });
        apart.count() as f64 >= NEARLY_ALL * days.len() as f64
    };
    let worded = |sample: &&Sample| {
        let word = |text: &str| text.contains(char::is_alphabetic);
        let distinct = sample.distinct();
        distinct <= MOST_WORDS && 2 * distinct <= sample.values().count() && sample.mostly(word)
    };
    let unread = samples
        .iter()
        .filter(|sample| guess.ignored.contains(&sample.header));
    let Some(found) = unread.filter(worded).find(tells) else {
        return;
    };
    let header = found.header.clone();
    let mut words: Vec<&str> = found
        .values()
        .collect::<BTreeSet<_>>()
        .into_iter()
        .collect();
    words.truncate(3);
    let point = [Column::Point, Column::Nominal].map(|column| header_of(guess, column));
    let headers = std::iter::once(header.clone()).chain(point.into_iter().flatten());
    let listed = toml::Value::Array(headers.map(toml::Value::String).collect()).to_string();
    let words = format!(
        "\"{header}\" is not read and has another word in each of the several rows of a day ({}): points that it tells apart (point_from = {listed}), or repeats of one point?",
        words.join(", ")
    );
    let doubt = Doubt::new("points", words)
        .settled_by("point_from")
        .or("repeats of one point", Answer::AsTaken)
        .or(
            "points that it tells apart",
            Answer::State("point_from", listed),
        );
    guess.doubts.push(doubt);
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
