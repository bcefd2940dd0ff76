/*! The unit that headers and columns state for the readings. */

pub(crate) mod beside;
pub(crate) mod letters;

use crate::records::cells::column::Column;
use crate::records::cells::digits::begins_with_digit;
use crate::records::cells::number::written::written;
use crate::records::cells::unit::stated::apart_from;
use crate::records::cells::unit::{self, Quantity, Unit};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::{Guess, header_of};
use crate::records::guess::headers::headed;
use crate::records::guess::sample::{NO_UNIT, Sample};
use crate::records::words::speaks_of;
use crate::settings::toml_text::quoted;
use std::collections::BTreeSet;

pub(crate) fn about_unit(samples: &[Sample], guess: &mut Guess) {
    if guess.reads(Column::Unit) {
        return;
    }
    let Some(header) = header_of(guess, Column::AsFound) else {
        return;
    };
    let inside = header
        .split_once(['[', '('])
        .map(|(_, rest)| rest.strip_suffix([']', ')']).unwrap_or(rest).trim());
    // A unit that no list knows may be one; an amount or a number in brackets is none.
    let inside = inside.filter(|text| !begins_with_digit(text) && !text.starts_with(['+', '-']));
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
            let sample = guess.sample(samples, Column::AsFound);
            let marks = guess.marks();
            let has = |text: &str| written(text, marks).is_ok_and(|cell| !cell.unit.is_empty());
            let in_header = unit::of_header(&header).is_some();
            if !in_header && !sample.is_some_and(|sample| sample.values().any(has)) {
                guess.to_check.push(NO_UNIT.to_string());
            }
        }
    }
}

/// Asks where the readings and a column beside them state other units in brackets, neither of which is known:
/// nothing would turn the one into the other.
pub(crate) fn about_unknown_units(guess: &Guess) -> Option<Doubt> {
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
    let readings = header_of(guess, Column::AsFound)?;
    let own = bracket(&readings)?;
    let other = BESIDE.into_iter().find_map(|column| {
        let header = header_of(guess, column)?;
        bracket(&header).filter(|other| *other != own)?;
        Some(header)
    });
    let other = other?;
    let words = format!(
        "\"{readings}\" and \"{other}\" state units that are not known, and their numbers are taken for those of one unit."
    );
    let doubt = Doubt::new("unknown_units", words);
    Some(doubt.or("they are of one unit", Answer::AsTaken))
}

/// True where two headers state units of different quantities, none of them a part of the other's: `U [V]`,
/// a voltage, beside readings in W.
pub(crate) fn measures_another(header: &str, readings: &str) -> bool {
    let unit = |header: &str| Unit::parse(unit::of_header(header)?);
    match (unit(header), unit(readings)) {
        (Some(own), Some(other)) => {
            let parts = [own, other].iter().any(|u| u.quantity == Quantity::Part);
            !parts && own.power_to(other).is_none()
        }
        _ => false,
    }
}

/// Asks about a second column of units where it states others than the one that is read: a row's
/// numbers are all taken in its one unit.
pub(crate) fn about_second_unit(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let own = header_of(guess, Column::Unit)?;
    let units = |header: &String| -> BTreeSet<String> {
        let sample = samples.iter().find(|s| s.header == *header);
        let values = sample.into_iter().flat_map(Sample::values);
        let known = values.filter(|text| Unit::parse(text).is_some());
        known.map(str::to_string).collect()
    };
    let read = units(&own);
    // Row by row where both have a unit in each; else by what they state at all.
    let values = |header: &String| {
        let sample = samples.iter().find(|s| s.header == *header);
        sample.map_or(Vec::new(), |sample| sample.values().collect::<Vec<&str>>())
    };
    let own_values = values(&own);
    let differs = |header: &String| {
        let values = values(header);
        match values.len() == own_values.len() {
            true => values
                .iter()
                .zip(&own_values)
                .any(|(a, b)| !unit::same_unit(a, b)),
            false => !units(header).is_subset(&read) || read.len() > 1,
        }
    };
    let other = |header: &&String| {
        headed(header, Column::Unit) && !units(header).is_empty() && differs(header)
    };
    let header = guess.ignored.iter().find(other).cloned()?;
    let listed = |units: BTreeSet<String>| units.into_iter().collect::<Vec<_>>().join(", ");
    // A nominal value that is subtracted is in the unit of the reading.
    let found = header_of(guess, Column::AsFound)?;
    let nominal = header_of(guess, Column::Nominal);
    let apart = nominal.is_none() || speaks_of(&found, "error");
    let mend = match apart {
        true => format!(
            "where its errors and limits are in the other, unit = {} under columns takes them so",
            quoted(&header)
        ),
        false => "where some are in the other, turn them in the file, or write the unit behind each number".into(),
    };
    let words = format!(
        "\"{header}\" is not read and states other units ({}) than \"{own}\" ({}): all numbers of a row are taken in the unit of \"{own}\"; {mend}.",
        listed(units(&header)),
        listed(read)
    );
    let doubt = Doubt::new("second_unit", words);
    let taken = format!("all numbers of a row are in the unit of \"{own}\"");
    let doubt = doubt.or(taken, Answer::AsTaken);
    Some(match apart {
        true => doubt.or(
            format!("the errors and limits of a row are in that of \"{header}\""),
            Answer::Map(Column::Unit, header),
        ),
        false => doubt,
    })
}
