/*! Which column means what: by content, then by the usual words of the trade. */

mod both_sides;
mod by_header;
mod content;

use super::dates::{FoundFormat, looks_like_date};
use super::doubt::{Answer, Doubt};
use super::draft::{Guess, header_of};
use super::headers::{Headers, headed, names_mean};
use super::layout::points::{may_be_by_points, states_point};
use super::layout::wide::dated::{dated, may_be_wide};
use super::said::events::about_events;
use super::said::own_facts::{groups_items, is_named};
use super::sample::{Sample, is_number};
use super::values::difference::Differences;
use super::values::uncertainty::about_uncertainty;
use super::values::units::{about_unit, about_unknown_units};
use crate::records::cells::column::Column;
use crate::records::cells::number::Number;
use by_header::{ORDER, take};
use content::{content_fits, holds_outcomes};

/// Gives every column its meaning, where there is one.
pub(crate) fn columns(samples: &[Sample], dates: &[Option<FoundFormat>], guess: &mut Guess) {
    let mut taken = by_header::by_header(samples, dates, guess);
    by_content(samples, dates, &mut taken, guess);
    group_of_items(samples, dates, &mut taken, guess);
    guess.columns.sort_by_key(|g| g.column.index());
    about_uncertainty(samples, guess);
    about_unit(samples, guess);
    let doubt = about_unknown_units(guess);
    guess.doubts.extend(doubt);
    about_events(samples, guess);
}

/// The column of groups, where the items were found by their content alone: only then it can be told whether
/// they share them.
fn group_of_items(
    samples: &[Sample],
    dates: &[Option<FoundFormat>],
    taken: &mut [bool],
    guess: &mut Guess,
) {
    let column = Column::Group;
    let items = guess.sample(samples, Column::Instrument);
    let (Some(items), None) = (items, header_of(guess, column)) else {
        return;
    };
    let headers = Headers::of(samples.iter().map(|sample| sample.header.as_str()));
    let found = headers.find(column, |i| {
        let sample = &samples[i];
        !taken[i]
            && content_fits(sample, column, dates[i].is_some(), guess.marks())
            && is_named(&sample.header, column)
            && groups_items(sample, items)
    });
    if let Some((place, word)) = found {
        taken[place] = true;
        let why = format!("the header says \"{word}\" and the content fits");
        take(column, &samples[place].header, why, guess);
    }
}

/// How many of our columns the words of a header name; none for a row that holds a number or a
/// date, which no header does.
pub(crate) fn header_words(headers: &[String]) -> usize {
    let filled = || headers.iter().map(|h| h.trim()).filter(|h| !h.is_empty());
    let value = |h: &str| {
        Number::parse(h, false).is_ok() || Number::parse(h, true).is_ok() || looks_like_date(h)
    };
    let (wide, by_points) = (may_be_wide(headers), may_be_by_points(headers));
    let is_dated = dated(headers);
    let stated = |h: &str| wide && is_dated(h) || by_points && states_point(h);
    let no_header = |h: &str| !stated(h) && value(h);
    if filled().count() < 2 || filled().any(no_header) {
        return 0;
    }
    let mut taken = vec![false; headers.len()];
    let folded = Headers::of(headers.iter().map(String::as_str));
    let named = ORDER.iter().filter(|column| {
        let found = folded.find(**column, |i| !taken[i]);
        found.inspect(|(place, _)| taken[*place] = true).is_some()
    });
    // Dates are what the headers of a wide table name.
    let more = match (wide, by_points) {
        (true, _) => DATES_COUNT,
        (false, by_points) => usize::from(by_points),
    };
    named.count() + more
}

/// How much the dates of a wide table count among the words of its header: a date and a value.
/// Points count as a value.
const DATES_COUNT: usize = 2;

/// Needed columns whose header says nothing: the only sensible ones by content.
fn by_content(
    samples: &[Sample],
    dates: &[Option<FoundFormat>],
    taken: &mut [bool],
    guess: &mut Guess,
) {
    for column in guess.missing() {
        let marks = guess.marks();
        let filled = |i: &usize| !taken[*i] && !samples[*i].values.is_empty();
        let number = |i: &usize| samples[*i].mostly(|v| is_number(v, marks));
        let free = (0..samples.len()).filter(filled);
        let (place, why) = match column {
            Column::Date => {
                // The day on which a check was due is not the one on which it was made.
                let read = free.filter(|i| dates[*i].is_some());
                let (due, others): (Vec<usize>, Vec<usize>) =
                    read.partition(|i| headed(&samples[*i].header, Column::NextDue));
                let first = others.first().or(due.first());
                (
                    first.copied(),
                    "the first column whose content reads as dates",
                )
            }
            Column::Instrument => {
                let words = |i: &usize| dates[*i].is_none() && !number(i);
                let worded: Vec<usize> = free.filter(words).collect();
                let names = |i: &&usize| !holds_outcomes(&samples[**i]);
                let first = worded.iter().find(names).or(worded.first());
                (first.copied(), "the first column of words")
            }
            _ => {
                let numbers: Vec<usize> =
                    free.filter(|i| dates[*i].is_none() && number(i)).collect();
                let differences = Differences::of(samples, guess.marks());
                let mean = numbers.iter().find(|i| names_mean(&samples[**i].header));
                match (differences.among(numbers.iter().copied()), mean) {
                    (Some(place), _) => (Some(place), "the difference of two other columns"),
                    (None, Some(place)) => (Some(*place), "the mean of what was read"),
                    (None, None) => (
                        numbers
                            .into_iter()
                            .rev()
                            .max_by_key(|&i| samples[i].distinct()),
                        "the column with the most different numbers",
                    ),
                }
            }
        };
        if let Some(place) = place {
            taken[place] = true;
            let header = &samples[place].header;
            let words = format!(
                "No header says {}: \"{header}\" is taken, {why}.",
                column.name()
            );
            let doubt = Doubt::about_column(column, words).or("it is", Answer::AsTaken);
            guess.doubts.push(doubt);
            take(column, header, why.to_string(), guess);
        }
    }
}
