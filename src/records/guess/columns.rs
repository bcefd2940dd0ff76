/*! Which column means what: by content, then by the usual words of the trade. */

mod content;

use super::dates::{FoundFormat, looks_like_date};
use super::doubt::{Answer, Doubt};
use super::draft::{Guess, Guessed, header_of};
use super::headers::{Headers, counted, is_most_allowed, is_share_of_limit, other_quantity};
use super::layout::points::{may_be_by_points, states_point};
use super::layout::wide::dated::{dated, may_be_wide};
use super::said::events::about_events;
use super::said::own_facts::{groups_items, is_named};
use super::sample::{Sample, is_number};
use super::values::difference::Differences;
use super::values::uncertainty::about_uncertainty;
use super::values::units::{about_unit, about_unknown_units, measures_another};
use super::values::unread::limits::{BOTH_SIDES, LIMIT_NAMES, names_limit};
use crate::records::cells::column::Column;
use crate::records::cells::limits::allowed::{two_sided, two_values};
use crate::records::cells::number::Number;
use crate::records::words::speaks_of;
use content::{content_fits, holds_decimals, holds_outcomes};

/// Columns with the more telling words come first: "reference value" is taken before
/// anything that is only a "value".
const ORDER: [Column; 24] = [
    Column::Assigned,
    Column::UAssigned,
    Column::UCommon,
    Column::CoverageFactor,
    Column::U,
    Column::Lower,
    Column::Upper,
    Column::Tolerance,
    Column::Range,
    Column::Nominal,
    Column::AsLeft,
    Column::InTolerance,
    Column::NextDue,
    Column::IntervalDays,
    Column::Date,
    Column::Unit,
    Column::Point,
    Column::Instrument,
    Column::AsFound,
    Column::Usage,
    Column::Event,
    Column::Kind,
    Column::Source,
    Column::Group,
];

/// Gives every column its meaning, where there is one.
pub(crate) fn columns(samples: &[Sample], dates: &[Option<FoundFormat>], guess: &mut Guess) {
    // A column without a header cannot be named in a pipeline file.
    let unnamed = |sample: &Sample| sample.header.trim().is_empty();
    let mut taken: Vec<bool> = samples.iter().map(unnamed).collect();
    let headers = Headers::of(samples.iter().map(|sample| sample.header.as_str()));
    let readings = headers.find(Column::AsFound, |i| !taken[i]);
    let readings = readings.map_or("", |(place, _)| samples[place].header.as_str());
    for column in ORDER {
        let limits = matches!(column, Column::Tolerance | Column::Lower | Column::Upper);
        let lower = header_of(guess, Column::Lower).is_some();
        let of_others = |header| {
            limits
                && (!readings.is_empty() && other_quantity(header, readings).is_some()
                    || is_share_of_limit(header)
                    || column == Column::Upper && !lower && is_most_allowed(header))
        };
        let of_another = |header: &str| column == Column::U && measures_another(header, readings);
        let fits = |i: &usize| {
            !taken[*i]
                && !of_another(samples[*i].header.as_str())
                && !of_others(samples[*i].header.as_str())
                && content_fits(&samples[*i], column, dates[*i].is_some(), guess.marks())
        };
        let found = headers.find(column, |i| fits(&i));
        let found = match (column, found) {
            // Names are seldom numbers with decimals: readings of the item are ("UUT", "Standard").
            (Column::Instrument, found) => {
                let named = |i: usize| fits(&i) && !holds_decimals(&samples[i]);
                let named = headers
                    .find(column, named)
                    .or_else(|| headers.find_alone(column, named));
                named.or(found)
            }
            (Column::Tolerance, None) => both_sides(samples, &headers, fits),
            // The mean says more than the first of the readings that it is of.
            (Column::AsFound, Some((place, _))) if counted(&samples[place].header).is_some() => {
                headers.find_alone(column, |i| fits(&i)).or(found)
            }
            (_, None) => headers.find_alone(column, |i| fits(&i)),
            (_, found) => found,
        };
        let found = match column {
            // Without a nominal value a reading says less than the error beside it.
            Column::AsFound if header_of(guess, Column::Nominal).is_none() => {
                let speaks = |i: usize| speaks_of(&samples[i].header, "error");
                let is_reading = found.is_some_and(|(place, _)| !speaks(place));
                let error = || headers.find(column, |i| speaks(i) && fits(&i));
                is_reading.then(error).flatten().or(found)
            }
            _ => found,
        };
        let beside = |(place, _): &(usize, _)| {
            let free = |i: usize| {
                let other = beside_readings(column).is_some_and(|needed| needed != Column::AsFound);
                other && !taken[i] || fits(&i)
            };
            let other = |needed| {
                let own = |i: usize| i != *place && free(i);
                let found = headers.find(needed, own);
                found.or_else(|| headers.find_alone(needed, own))
            };
            let expanded = column == Column::UAssigned && samples[*place].header.contains('U');
            // "U k 2" is an uncertainty, and "k" alone its factor.
            let whole = matches!(
                column,
                Column::CoverageFactor | Column::Group | Column::IntervalDays
            );
            let in_part = whole && !is_named(&samples[*place].header, column);
            let items = guess.sample(samples, Column::Instrument);
            let grouped = || items.is_some_and(|items| groups_items(&samples[*place], items));
            !expanded
                && !in_part
                && (column != Column::Group || grouped())
                && (column != Column::Range || states_per_cent(samples, guess))
                && beside_readings(column).is_none_or(|needed| other(needed).is_some())
        };
        if let Some((place, word)) = found.filter(beside) {
            taken[place] = true;
            let why = format!("the header says \"{word}\" and the content fits");
            if column == Column::Instrument && holds_decimals(&samples[place]) {
                guess.doubts.push(about_decimal_names(&samples[place]));
            }
            take(column, &samples[place].header, why, guess);
        }
    }
    by_content(samples, dates, &mut taken, guess);
    group_of_items(samples, dates, &mut taken, guess);
    guess.columns.sort_by_key(|g| g.column.index());
    about_uncertainty(samples, guess);
    about_unit(samples, guess);
    about_unknown_units(guess);
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

/// A limit whose header says that it holds on both sides, `Grenze ±`, or whose cells have two: `-0.1 … 0.2`.
fn both_sides(
    samples: &[Sample],
    headers: &Headers,
    fits: impl Fn(&usize) -> bool,
) -> Option<(usize, &'static str)> {
    let says = |i: usize| {
        let sign = |sign: &&str| samples[i].header.contains(*sign);
        let sample = &samples[i];
        let two = sample.values().next().is_some()
            && sample.mostly(|v| two_sided(v).or_else(|| two_values(v)).is_some());
        BOTH_SIDES.iter().any(sign) || two
    };
    let name = |i: usize| {
        let mut names = LIMIT_NAMES.into_iter();
        let bare = headers.folded(i).is_empty().then_some("±");
        bare.or_else(|| names.find(|name| *name == headers.folded(i)))
    };
    let by_name = (0..samples.len())
        .filter(|i| says(*i) && fits(i))
        .find_map(|i| Some((i, name(i)?)));
    // Cells with ± below any header of a limit say it too, where no other column does.
    let signed = |i: &usize| {
        let on_both = |text: &str| BOTH_SIDES.iter().any(|sign| text.starts_with(sign));
        let sample = &samples[*i];
        names_limit(&sample.header) && sample.values().next().is_some() && sample.mostly(on_both)
    };
    let mut by_cells = (0..samples.len()).filter(|i| signed(i) && fits(i));
    let lone = by_cells.next().filter(|_| by_cells.next().is_none());
    by_name.or_else(|| lone.map(|i| (i, "±")))
}

/// What another column must hold for `column` to be more than the reading: a file whose only value
/// is the certified one has that for its reading.
fn beside_readings(column: Column) -> Option<Column> {
    match column {
        Column::Assigned => Some(Column::AsFound),
        Column::UAssigned | Column::CoverageFactor => Some(Column::U),
        Column::NextDue => Some(Column::Date),
        _ => None,
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

/// True where a limit is a per cent, which may be one of the range.
fn states_per_cent(samples: &[Sample], guess: &Guess) -> bool {
    let limits = [Column::Tolerance, Column::Lower, Column::Upper];
    let limits = limits
        .iter()
        .filter_map(|column| guess.sample(samples, *column));
    let per_cent = |text: &str| text.contains(['%', '‰']) || text.to_lowercase().contains("fs");
    limits
        .into_iter()
        .any(|sample| per_cent(&sample.header) || sample.values().any(per_cent))
}

fn about_decimal_names(sample: &Sample) -> Doubt {
    let header = &sample.header;
    let example = sample.values().next().unwrap_or("");
    let words = format!(
        "\"{header}\" is taken for the names of the instruments and holds numbers with decimals (\"{example}\"): are they readings?"
    );
    Doubt::new("column_instrument", words).or("they are names", Answer::AsTaken)
}

fn take(column: Column, header: &str, why: String, guess: &mut Guess) {
    guess.columns.push(Guessed {
        column,
        header: header.to_string(),
        why,
    });
}

/// Needed columns whose header says nothing: the only sensible ones by content.
fn by_content(
    samples: &[Sample],
    dates: &[Option<FoundFormat>],
    taken: &mut [bool],
    guess: &mut Guess,
) {
    for column in guess.missing() {
        let comma = guess.decimal_comma;
        let filled = |i: &usize| !taken[*i] && !samples[*i].values.is_empty();
        let number = |i: &usize| samples[*i].mostly(|v| is_number(v, comma.into()));
        let free = (0..samples.len()).filter(filled);
        let (place, why) = match column {
            Column::Date => (
                free.into_iter().find(|&i| dates[i].is_some()),
                "the first column whose content reads as dates",
            ),
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
                match differences.among(numbers.iter().copied()) {
                    Some(place) => (Some(place), "the difference of two other columns"),
                    None => (
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
            let name = match column {
                Column::Instrument => "column_instrument",
                Column::Date => "column_date",
                _ => "column_as_found",
            };
            let doubt = Doubt::new(name, words).or("it is", Answer::AsTaken);
            guess.doubts.push(doubt);
            take(column, header, why.to_string(), guess);
        }
    }
}
