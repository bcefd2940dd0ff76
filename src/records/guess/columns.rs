/*! Which column means what: by content, then by the usual words of the trade. */

use super::dates::{FoundFormat, looks_like_date};
use super::doubt::{Answer, Doubt, Typed};
use super::draft::{Guess, Guessed, header_of};
use super::headers::{
    Headers, counted, folded, is_largest, is_most_allowed, is_share_of_limit, other_quantity,
};
use super::own_facts::{groups_items, is_interval, is_named};
use super::points::{may_be_by_points, states_point};
use super::sample::{NO_UNIT, Sample, is_number, is_unknown_outcome};
use super::unread::{BOTH_SIDES, LIMIT_NAMES};
use super::wide::{dated, may_be_wide};
use crate::records::cells::allowed::two_sided;
use crate::records::cells::column::Column;
use crate::records::cells::field;
use crate::records::cells::marks::Marks;
use crate::records::cells::number::Number;
use crate::records::cells::said::{answer, asked_event, said_beside_events};
use crate::records::cells::shape::pairs_of;
use crate::records::cells::stated_unit::apart_from;
use crate::records::cells::unit::{self, Quantity, Unit};
use crate::records::cells::written::{Form, pair, with_uncertainty, written};
use crate::records::setting_words::Pairs;
use crate::records::words::{speaks_of, words};
use std::collections::BTreeSet;

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
                && content_fits(
                    &samples[*i],
                    column,
                    dates[*i].is_some(),
                    guess.decimal_comma,
                )
        };
        let found = headers.find(column, |i| fits(&i));
        let found = match (column, found) {
            (Column::Tolerance, None) => both_sides(samples, &headers, fits),
            // The mean says more than the first of the readings that it is of.
            (Column::AsFound, Some((place, _))) if counted(&samples[place].header).is_some() => {
                headers.find_alone(column, |i| fits(&i)).or(found)
            }
            (_, None) => headers.find_alone(column, |i| fits(&i)),
            (_, found) => found,
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
            let items = header_of(guess, Column::Instrument);
            let items = items.and_then(|header| samples.iter().find(|s| s.header == header));
            let grouped = || items.is_some_and(|items| groups_items(&samples[*place], items));
            !expanded
                && !in_part
                && (column != Column::Group || grouped())
                && beside_readings(column).is_none_or(|needed| other(needed).is_some())
        };
        if let Some((place, word)) = found.filter(beside) {
            taken[place] = true;
            let why = format!("the header says \"{word}\" and the content fits");
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
    let items = header_of(guess, Column::Instrument);
    let items = items.and_then(|header| samples.iter().find(|s| s.header == header));
    let (Some(items), None) = (items, header_of(guess, column)) else {
        return;
    };
    let headers = Headers::of(samples.iter().map(|sample| sample.header.as_str()));
    let found = headers.find(column, |i| {
        let sample = &samples[i];
        !taken[i]
            && content_fits(sample, column, dates[i].is_some(), guess.decimal_comma)
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
        let two = sample.values().next().is_some() && sample.mostly(|v| two_sided(v).is_some());
        BOTH_SIDES.iter().any(sign) || two
    };
    let name = |i: usize| {
        let mut names = LIMIT_NAMES.into_iter();
        let bare = headers.folded(i).is_empty().then_some("±");
        bare.or_else(|| names.find(|name| *name == headers.folded(i)))
    };
    (0..samples.len())
        .filter(|i| says(*i) && fits(i))
        .find_map(|i| Some((i, name(i)?)))
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
            Column::Instrument => (
                free.into_iter().find(|i| dates[*i].is_none() && !number(i)),
                "the first column of words",
            ),
            _ => (
                free.filter(|i| dates[*i].is_none() && number(i))
                    .rev()
                    .max_by_key(|&i| samples[i].distinct()),
                "the column with the most different numbers",
            ),
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

fn content_fits(sample: &Sample, column: Column, is_date: bool, comma: bool) -> bool {
    let marks = Marks {
        comma,
        grouped: true,
    };
    let number = || sample.mostly(|v| is_number(v, marks));
    match column {
        // A column that measures names no item: `HR patrón (%)` beside `Higrómetro`.
        Column::Instrument => {
            let decimal = |v: &str| v.contains(['.', ',']) && number_alone(v, marks);
            let measures = unit::of_header(&sample.header).is_some() && sample.mostly(decimal);
            !is_date && !measures
        }
        // "Max perm. error" is a tolerance, and no upper limit.
        Column::Lower | Column::Upper => {
            let both = words(Column::Tolerance).contains(&folded(&sample.header));
            !both && !is_largest(&sample.header) && !is_date && number()
        }
        Column::Point | Column::Unit => !is_date,
        Column::Date | Column::NextDue => is_date,
        // Seconds are what a clock measures.
        Column::IntervalDays => {
            let unit = unit::of_header(&sample.header).and_then(Unit::parse);
            let seconds = unit.is_some_and(|unit| unit.quantity == Quantity::Of("s"));
            !is_date && !seconds && is_interval(sample)
        }
        Column::Group => !is_date && !number(),
        // A deviation from the nominal value is none.
        Column::Nominal => !is_date && number() && !speaks_of(&sample.header, "error"),
        // The words that no list knows are asked about.
        Column::InTolerance => {
            let known = sample.values().filter(|v| !is_unknown_outcome(v)).count();
            known > 0 && 2 * known >= sample.values.len()
        }
        // Two in a cell are what was found, and what was left behind it.
        Column::AsLeft => {
            let both = pairs_of(&sample.header) == Pairs::FoundLeft;
            // Nothing may have been adjusted yet.
            let pairs = !sample.values.is_empty() && sample.mostly(|v| pair(v).is_some());
            !is_date && !both && number() && !pairs
        }
        Column::CoverageFactor => {
            let factor = |v: &str| Number::parse(v, marks).map_or(0.0, |number| number.value);
            !is_date && sample.values().all(|v| (1.0..=10.0).contains(&factor(v)))
        }
        // "none" stands for a number that is missing, too.
        Column::Event => {
            let digits = |v: &str| v.contains(|c: char| c.is_ascii_digit());
            let counts = sample.mostly(|v| digits(v) && is_number(v, marks));
            !is_date && (sample.values.is_empty() || !counts)
        }
        // A tolerance may be a sum of parts, such as 0.1 % + 0.02; one that changes its sign is none.
        Column::Tolerance => {
            let sign = |v: &str| match number_of(v, marks) {
                Some(value) if value != 0.0 => Some(value > 0.0),
                _ => None,
            };
            let mut signs = sample.values().filter_map(sign);
            let first = signs.next();
            let on_both_sides = signs.any(|sign| Some(sign) != first);
            !is_date
                && !on_both_sides
                && sample.mostly(|v| v.contains(|c: char| c.is_ascii_digit()))
        }
        // Numbers of certificates, each its own, are no sources: these give many readings.
        Column::Source => !is_date && !number() && 2 * sample.distinct() <= sample.values.len(),
        Column::Kind => sample.mostly(|v| field::kind(v).is_some()),
        _ => !is_date && number(),
    }
}

fn number_of(text: &str, marks: Marks) -> Option<f64> {
    let cell = written(text, marks).ok()?;
    (cell.form == Form::Plain).then_some(cell.number.value)
}

/// Asks where the readings and a column beside them state other units in brackets, neither of which is known:
/// nothing would turn the one into the other.
fn about_unknown_units(guess: &mut Guess) {
    const BESIDE: [Column; 5] = [
        Column::Tolerance,
        Column::Lower,
        Column::Upper,
        Column::U,
        Column::Nominal,
    ];
    let bracket = |header: &str| {
        let inside = header
            .split_once('[')?
            .1
            .split_once(']')?
            .0
            .trim()
            .to_string();
        let word = inside.starts_with(char::is_alphabetic);
        (word && unit::of_header(header).is_none()).then_some(inside)
    };
    let Some(readings) = header_of(guess, Column::AsFound) else {
        return;
    };
    let Some(own) = bracket(&readings) else {
        return;
    };
    let other = BESIDE.into_iter().find_map(|column| {
        let header = header_of(guess, column)?;
        bracket(&header).filter(|other| *other != own)?;
        Some(header)
    });
    if let Some(other) = other {
        let words = format!(
            "\"{readings}\" and \"{other}\" state units that are not known, and their numbers are taken for those of one unit."
        );
        let doubt = Doubt::new("unknown_units", words);
        guess
            .doubts
            .push(doubt.or("they are of one unit", Answer::AsTaken));
    }
}

/// True where two headers state units of different quantities, none of them a part of the other's: `U [V]`,
/// a voltage, beside readings in W.
fn measures_another(header: &str, readings: &str) -> bool {
    let unit = |header: &str| Unit::parse(unit::of_header(header)?);
    match (unit(header), unit(readings)) {
        (Some(own), Some(other)) => {
            let parts = [own, other].iter().any(|u| u.quantity == Quantity::Part);
            !parts && own.power_to(other).is_none()
        }
        _ => false,
    }
}

fn number_alone(text: &str, marks: Marks) -> bool {
    written(text, marks).is_ok_and(|cell| cell.unit.is_empty())
}

/// Expanded or standard: the trade writes U for expanded and u for standard uncertainty (GUM 6.2.1, 2.3.1).
fn about_uncertainty(samples: &[Sample], guess: &mut Guess) {
    let own = header_of(guess, Column::U);
    let beside = own.is_some();
    let Some(header) = own.or_else(|| behind_the_reading(samples, guess)) else {
        return;
    };
    if !beside && pairs_of(&header) == Pairs::Auto {
        guess.to_state.push("pairs = \"found_u\"".into());
    }
    let shown = match beside {
        true => format!("\"{header}\""),
        false => format!("What stands behind each value of \"{header}\""),
    };
    let lower = header.to_lowercase().replace(' ', "");
    let expanded = speaks_of(&lower, "expanded");
    // "U", "U [mK]", "U(k=2)", "U (µm)", "U95".
    let mut parts = header.split(|c: char| !c.is_alphanumeric());
    let first = match beside {
        true => parts.find(|part| !part.is_empty()),
        false => parts.find(|part| matches!(*part, "U" | "U95")),
    };
    let capital = matches!(first, Some("U" | "U95"));
    if let Some(factor) = header_of(guess, Column::CoverageFactor) {
        let words =
            format!("Each number of \"{header}\" is divided by that of \"{factor}\" in its row");
        match expanded || capital {
            true => guess.to_check.push(words + "."),
            false => guess.doubts.push(
                Doubt::new(
                    "coverage_factor",
                    words + ": are they expanded uncertainties?",
                )
                .or("expanded ones", Answer::AsTaken)
                .or("standard ones already", Answer::Off(Column::CoverageFactor)),
            ),
        }
        return;
    }
    if let Some(factor) = stated_factor(&header) {
        guess.coverage_factor = factor;
        guess.to_check.push(match factor {
            1.0 => format!("{shown} is a standard uncertainty, as its header says (k = 1)."),
            _ => format!(
                "{shown} is an expanded uncertainty, as its header says: divided by k = {factor}."
            ),
        });
    } else if expanded || capital {
        guess.coverage_factor = 2.0;
        guess.doubts.push(
            about_factor(format!(
                "{shown} reads as an expanded uncertainty; k = 2 is assumed."
            ))
            .or("expanded, k = 2", Answer::Factor(2.0))
            .or("a standard uncertainty, k = 1", Answer::Factor(1.0)),
        );
    } else if lower != "u" && !lower.contains("standard") && !lower.contains("std") {
        let words = format!(
            "{shown} is taken as a standard uncertainty (k = 1); it may be an expanded one (k = 2)."
        );
        guess.doubts.push(
            about_factor(words)
                .or("a standard uncertainty, k = 1", Answer::Factor(1.0))
                .or("expanded, k = 2", Answer::Factor(2.0)),
        );
    }
}

/// The coverage factor that a header states: 2 of `U (k=2) [mK]` and `Unc. k = 2`.
fn stated_factor(header: &str) -> Option<f64> {
    let header = header.to_lowercase();
    header.match_indices('k').find_map(|(at, k)| {
        if header[..at].ends_with(char::is_alphanumeric) {
            return None;
        }
        let behind = header[at + k.len()..]
            .trim_start()
            .strip_prefix('=')?
            .trim_start();
        let end = behind.find(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | ','));
        let number = behind[..end.unwrap_or(behind.len())].trim_end_matches(['.', ',']);
        let factor: f64 = number.replace(',', ".").parse().ok()?;
        (1.0..=10.0).contains(&factor).then_some(factor)
    })
}

/// The header of the readings, where an uncertainty stands behind each in its cell.
fn behind_the_reading(samples: &[Sample], guess: &Guess) -> Option<String> {
    let header = header_of(guess, Column::AsFound)?;
    let sample = samples.iter().find(|sample| sample.header == header)?;
    let by_header = pairs_of(&header) == Pairs::FoundU;
    let both = |v: &str| with_uncertainty(v).is_some() || by_header && pair(v).is_some();
    sample.values().any(both).then_some(header)
}

fn about_factor(words: String) -> Doubt {
    let doubt = Doubt::new("coverage_factor", words).settled_by("coverage_factor");
    Doubt {
        typed: Some(Typed::Factor),
        ..doubt
    }
}

fn about_unit(samples: &[Sample], guess: &mut Guess) {
    if header_of(guess, Column::Unit).is_some() {
        return;
    }
    let Some(header) = header_of(guess, Column::AsFound) else {
        return;
    };
    let inside = header
        .split_once(['[', '('])
        .map(|(_, rest)| rest.strip_suffix([']', ')']).unwrap_or(rest).trim());
    // A unit that no list knows may be one; an amount or a number in brackets is none.
    let inside =
        inside.filter(|text| !text.starts_with(|c: char| c.is_ascii_digit() || "+-".contains(c)));
    let inside = inside.filter(|text| !speaks_of(text, "correction"));
    let stated = unit::of_header(&header);
    // Whether the unit or the numbers are multiplied is asked when they are read.
    if apart_from(&header, stated).is_some() {
        return;
    }
    let short = |text: &&str| !text.is_empty() && text.chars().count() <= 8;
    match stated.or(inside.filter(short)) {
        Some(unit) => {
            guess
                .notes
                .push(format!("Unit: {unit}, from the header \"{header}\"."));
            guess.unit = unit::spoken(unit).into_owned();
        }
        _ => {
            let sample = samples.iter().find(|s| s.header == header);
            let marks = guess.marks();
            let has = |text: &str| written(text, marks).is_ok_and(|cell| !cell.unit.is_empty());
            let in_header = unit::of_header(&header).is_some();
            if !in_header && !sample.is_some_and(|sample| sample.values().any(has)) {
                guess.to_check.push(NO_UNIT.to_string());
            }
        }
    }
}

fn about_events(samples: &[Sample], guess: &mut Guess) {
    let Some(header) = header_of(guess, Column::Event) else {
        return;
    };
    let sample = samples.iter().find(|s| s.header == header);
    // "Adjusted?" is answered by yes and no.
    let asked = asked_event(&header).is_some();
    let known = |text: &str| {
        asked && answer(text).is_some()
            || field::event(text).is_some()
            || said_beside_events(text).is_some()
    };
    let unknown: BTreeSet<&str> = sample
        .into_iter()
        .flat_map(Sample::values)
        .filter(|text| !known(text))
        .take(1000)
        .collect();
    let answers: Vec<&&str> = unknown
        .iter()
        .filter(|text| answer(text).is_some())
        .collect();
    if let Some(first) = answers.first() {
        let words = format!(
            "\"{header}\" holds answers (\"{first}\"), and its header asks for no event that is known: they are read as none. State what they mean, as in \"{first}\" = \"adjusted\" under [checks.events]."
        );
        let doubt = Doubt::new("event_answers", words);
        let doubt = doubt.or("nothing that moves the value was done", Answer::AsTaken);
        guess.doubts.push(doubt);
    } else if !unknown.is_empty() {
        let listed: Vec<String> = unknown.iter().take(5).map(|w| format!("\"{w}\"")).collect();
        guess.to_check.push(format!(
            "Words in \"{header}\" that are read as no event: {}; give them a meaning under events.",
            listed.join(", ")
        ));
    }
}
