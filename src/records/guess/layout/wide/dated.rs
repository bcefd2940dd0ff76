/*! Headers that state dates, by which a table is told to be wide. */

use crate::records::cells::digits::has_digit;
use crate::records::date::period::Period;
use crate::records::date::serial::System;
use crate::records::guess::dates::looks_like_date;
use crate::records::guess::headers::{date_column, item_column};
use crate::records::reading::wide::dated_parts;
use std::collections::BTreeSet;

/// Fewest dates of a wide table, and of one that has a column of dates as well.
pub(crate) const FEWEST: usize = 2;

/// Years that a header may state.
const YEARS: std::ops::Range<u32> = 1900..2100;

/// Bytes of a text that may be a header with a date in it.
const LONGEST: usize = 300;

/// True for a header that states a year of four digits, or a day with one of two.
pub(crate) fn is_dated(header: &str) -> bool {
    header.len() <= LONGEST
        && (header.split([' ', '_', '\n', ':']).any(is_short_date)
            || states_year(header)
            || states_period(header))
}

/// True for a quarter, a week or a half-year of a year of two digits (`Q1/24`): the others state a year of four.
fn states_period(header: &str) -> bool {
    let period = |text: &str| {
        Period::ALL
            .into_iter()
            .find(|period| period.days(text).is_some())
    };
    has_digit(header) && dated_parts(header, period).is_some()
}

/// True for three numbers of up to two digits with one sign between them, as in 24.09.20.
fn is_short_date(word: &str) -> bool {
    ['.', '/', '-'].into_iter().any(|sign| {
        let parts: Vec<&str> = word.split(sign).collect();
        let number =
            |part: &&str| matches!(part.len(), 1 | 2) && part.bytes().all(|b| b.is_ascii_digit());
        parts.len() == 3 && parts.iter().all(number)
    })
}

fn states_year(header: &str) -> bool {
    let runs = header.split(|c: char| !c.is_ascii_digit());
    runs.filter(|run| run.len() == 4)
        .any(|run| run.parse().is_ok_and(|year| YEARS.contains(&year)))
}

/// True where several headers are dates and another names the items.
pub(crate) fn may_be_wide(headers: &[String]) -> bool {
    let dated = dated(headers);
    headers.iter().filter(|header| dated(header)).count() >= FEWEST && wide_items(headers).is_some()
}

/// Where the items of a wide table stand: by the words of the headers, else before three years, months or
/// periods or more. A row of checks may hold dates, but hardly so many that state no day.
pub(crate) fn wide_items(headers: &[String]) -> Option<usize> {
    const ENOUGH: usize = 3;
    item_column(headers).or_else(|| {
        let dated = |header: &String| is_dated(header) && !looks_like_date(header);
        let first = headers.iter().position(dated)?;
        let enough = headers.iter().filter(|header| dated(header)).count() >= ENOUGH;
        let named = |header: &String| header.contains(char::is_alphabetic);
        headers[..first].iter().position(named).filter(|_| enough)
    })
}

/// What tells the headers that state a date: by themselves, or as a spreadsheet's numbers of days
/// where all their numbers are.
pub(crate) fn dated(headers: &[String]) -> impl Fn(&str) -> bool + use<> {
    let days = are_day_numbers(headers);
    move |header| is_dated(header) || days && day_number(header).is_some()
}

/// The word of a header that is a spreadsheet's number of a day, where no other is a number.
pub(super) fn day_number(header: &str) -> Option<&str> {
    if header.len() > LONGEST {
        return None;
    }
    let mut numbers = header
        .split([' ', '_', '\n', ':'])
        .filter(|word| !word.is_empty() && word.bytes().all(|b| b.is_ascii_digit()));
    let only = numbers.next().filter(|_| numbers.next().is_none())?;
    System::ALL.iter().find_map(|system| system.parse(only))?;
    Some(only)
}

/// True where the numbers of the headers are a spreadsheet's numbers of days, in the order of time,
/// and no column has the dates: lone numbers beside dates are points.
pub(super) fn are_day_numbers(headers: &[String]) -> bool {
    let days: Option<Vec<&str>> = headers
        .iter()
        .filter(|header| has_digit(header))
        .map(|h| day_number(h))
        .collect();
    let days = days.unwrap_or_default();
    let distinct: BTreeSet<&&str> = days.iter().collect();
    distinct.len() >= FEWEST
        && (days.is_sorted() || days.iter().rev().is_sorted())
        && date_column(headers).is_none()
}
