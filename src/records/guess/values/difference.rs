/*! A column that is one of its neighbours less the other: the error with its reading and its reference, whatever
the headers say, and whether its sign is that of an error or of a correction. */

use crate::records::cells::column::Column;
use crate::records::cells::marks::Marks;
use crate::records::cells::number::Number;
use crate::records::cells::number::written::{Form, written};
use crate::records::cells::shape::meaning_of;
use crate::records::cells::unit::{self, Quantity, Unit};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::{Guess, header_of};
use crate::records::guess::headers::headed;
use crate::records::guess::sample::Sample;
use crate::records::settings::words::AsFoundIs;
use crate::records::words::speaks_of;
use std::collections::BTreeMap;

/// Rows of a column that are looked at, and most columns of a table that is: each is held against each pair.
const ROWS: usize = 200;
const COLUMNS: usize = 24;

/// Fewest rows that show a difference, and those in which it is no 0 among them.
const FEWEST: usize = 3;
const TELLING: usize = 2;

/// Share of the rows that must agree: some may be slips.
const NEARLY_ALL: f64 = 0.9;

/// A difference is small beside what it is of; common practice, no source.
const SMALL: f64 = 0.5;

/// The numbers of a column by their rows, each with half of its last digit.
struct Numbers {
    place: usize,
    by_row: BTreeMap<u32, (f64, f64)>,
    unit: Option<Unit>,
}

/// Which column is the first less the second, as places among the samples.
#[derive(Debug, Clone, Copy)]
pub(super) struct Difference {
    of: usize,
    first: usize,
    second: usize,
}

/// The columns of a table that are a difference of two others.
pub(crate) struct Differences(Vec<Difference>);

impl Differences {
    pub(crate) fn of(samples: &[Sample], marks: Marks) -> Self {
        let columns: Vec<Numbers> = samples
            .iter()
            .enumerate()
            .filter_map(|(place, sample)| numbers(place, sample, marks))
            .collect();
        if columns.len() > COLUMNS {
            return Self(Vec::new());
        }
        let mut found = Vec::new();
        for of in &columns {
            for first in columns.iter().filter(|c| c.place != of.place) {
                let others = columns
                    .iter()
                    .filter(|c| c.place != of.place && c.place != first.place);
                let seconds = others.filter(|second| is_difference(of, first, second));
                found.extend(seconds.map(|second| Difference {
                    of: of.place,
                    first: first.place,
                    second: second.place,
                }));
            }
        }
        Self(found)
    }

    /// The first column among `places` that is a difference.
    pub(crate) fn among(&self, mut places: impl Iterator<Item = usize>) -> Option<usize> {
        places.find(|place| self.0.iter().any(|d| d.of == *place))
    }
}

fn numbers(place: usize, sample: &Sample, marks: Marks) -> Option<Numbers> {
    let number = |(row, text): (u32, &str)| {
        let cell = written(text, marks)
            .ok()
            .filter(|cell| cell.form == Form::Plain)?;
        let half_a_digit = 0.5 * last_digit(text, marks)?;
        Some((row, (cell.number.value, half_a_digit)))
    };
    let by_row: BTreeMap<u32, (f64, f64)> = sample.by_row().take(ROWS).filter_map(number).collect();
    let unit = unit::of_header(&sample.header).and_then(Unit::parse);
    (by_row.len() >= FEWEST).then_some(Numbers {
        place,
        by_row,
        unit,
    })
}

/// What one step of the last digit of a cell is.
fn last_digit(text: &str, marks: Marks) -> Option<f64> {
    let mark = if marks.comma { ',' } else { '.' };
    let decimals = match text.split_once(mark) {
        Some((_, behind)) => behind.bytes().take_while(u8::is_ascii_digit).count(),
        None => 0,
    };
    Some(10_f64.powi(-i32::try_from(decimals).ok()?))
}

/// True where `of` is `first` less `second` in nearly all rows, in its unit or in parts of the second.
fn is_difference(of: &Numbers, first: &Numbers, second: &Numbers) -> bool {
    let factor = |numbers: &Numbers| match (numbers.unit, of.unit) {
        (Some(own), Some(wanted)) => own.power_to(wanted).map(|power| 10_f64.powi(power)),
        _ => Some(1.0),
    };
    let part = of.unit.filter(|unit| unit.quantity == Quantity::Part);
    let of_part = |numbers: &Numbers| {
        numbers
            .unit
            .is_none_or(|unit| unit.quantity != Quantity::Part)
    };
    let in_parts = part.filter(|_| of_part(first) && of_part(second));
    let (mut all, mut agree, mut telling) = (0_usize, 0_usize, 0_usize);
    for (row, (value, digit)) in &of.by_row {
        let (Some((a, digit_a)), Some((b, digit_b))) =
            (first.by_row.get(row), second.by_row.get(row))
        else {
            continue;
        };
        let (difference, step, size) = match (in_parts, factor(first), factor(second)) {
            (Some(unit), ..) if *b != 0.0 => {
                let turn = 10_f64.powi(-unit.power) / b;
                (
                    (a - b) * turn,
                    digit + (digit_a + digit_b) * turn.abs(),
                    turn.abs() * a.abs(),
                )
            }
            (None, Some(of_a), Some(of_b)) => {
                let step = digit + digit_a * of_a + digit_b * of_b;
                (
                    a * of_a - b * of_b,
                    step,
                    (a * of_a).abs().max((b * of_b).abs()),
                )
            }
            _ => continue,
        };
        // Where the digits do not tell the difference from 0, nothing is shown.
        let tolerance = step * (1.0 + 1e-9);
        all += 1;
        agree += usize::from(
            (difference - value).abs() <= tolerance && value.abs() <= SMALL * size.max(step),
        );
        telling += usize::from(value.abs() > tolerance && (difference - value).abs() <= tolerance);
    }
    all >= FEWEST && agree as f64 >= NEARLY_ALL * all as f64 && telling >= TELLING
}

/// Asks about an error whose numbers are the reference less the reading, and about a correction that is the reading
/// less the reference: taken at its word, every drift would go the other way.
pub(crate) fn about_sign(samples: &[Sample], guess: &mut Guess) {
    let differences = Differences::of(samples, guess.marks());
    let Some(header) = header_of(guess, Column::AsFound) else {
        return;
    };
    let nominal = header_of(guess, Column::Nominal);
    let is_reference = |place: usize| {
        let other = &samples[place].header;
        nominal.as_ref() == Some(other)
            || nominal.is_none()
                && (headed(other, Column::Nominal) || speaks_of(other, "reference"))
    };
    let own = differences
        .0
        .iter()
        .filter(|d| samples[d.of].header == header);
    let mut known = own.filter_map(|d| match (is_reference(d.first), is_reference(d.second)) {
        (true, false) => Some((AsFoundIs::Correction, d)),
        (false, true) => Some((AsFoundIs::Error, d)),
        _ => None,
    });
    let Some((shown, difference)) = known.next() else {
        about_unread_reference(samples, &differences, guess);
        return;
    };
    if known.any(|(other, _)| other != shown) {
        return;
    }
    let corrects = meaning_of(&header) == AsFoundIs::Correction;
    let (is, value, other, as_it_stands) = match (shown, corrects) {
        (AsFoundIs::Correction, false) => (
            "minus the error, and its sign is turned",
            "\"correction\"",
            "\"error\"",
            "it is the error as it stands",
        ),
        (AsFoundIs::Error, true) => (
            "the error itself, and its sign stays",
            "\"error\"",
            "\"correction\"",
            "it is a correction, and its sign is turned",
        ),
        _ => return,
    };
    let words = format!(
        "\"{header}\" is \"{}\" less \"{}\" in nearly all rows{}: {is} (as_found_is = {value}).",
        samples[difference.first].header,
        samples[difference.second].header,
        example(samples, *difference, guess.marks()),
    );
    let doubt = Doubt::new("sign", words)
        .or("so it is", Answer::AsTaken)
        .or(as_it_stands, Answer::State("as_found_is", other.into()));
    guess.take(&Answer::State("as_found_is", value.into()));
    guess.doubts.push(doubt);
}

/// The numbers of the first row that shows a difference: ` (5.00 - 5.02 = -0.02)`.
fn example(samples: &[Sample], of: Difference, marks: Marks) -> String {
    let cell = |place: usize, row: u32| {
        let found = samples[place].by_row().find(|(own, _)| *own == row)?;
        Some(found.1.to_string())
    };
    let shown = samples[of.of].by_row().find_map(|(row, text)| {
        let number = Number::parse(text, marks).ok()?;
        let (first, second) = (cell(of.first, row)?, cell(of.second, row)?);
        (number.value != 0.0).then(|| format!(" ({first} - {second} = {text})"))
    });
    shown.unwrap_or_default()
}

/// Takes for the nominal value what the readings less it are an unread difference of, and asks where no word of its
/// header says so.
fn about_unread_reference(samples: &[Sample], differences: &Differences, guess: &mut Guess) {
    if guess.reads(Column::Nominal) || guess.off.contains(&Column::Nominal) {
        return;
    }
    let Some(header) = header_of(guess, Column::AsFound) else {
        return;
    };
    let unread = |place: usize| guess.ignored.contains(&samples[place].header);
    let own = differences.0.iter().filter_map(|d| {
        let other = match (&samples[d.first].header, &samples[d.second].header) {
            (first, _) if *first == header => d.second,
            (_, second) if *second == header => d.first,
            _ => return None,
        };
        // What lies between a reading upwards and one downwards.
        let hysteresis = speaks_of(&samples[d.of].header, "hysteresis");
        (unread(other) && unread(d.of) && !hysteresis).then_some((other, d.of))
    });
    let own: Vec<(usize, usize)> = own.collect();
    let [(reference, of), ..] = own[..] else {
        return;
    };
    if own.iter().any(|(other, _)| *other != reference) {
        return;
    }
    let (reference, of) = (samples[reference].header.clone(), &samples[of].header);
    let words = format!("\"{of}\" is what lies between it and \"{header}\" in nearly all rows");
    if headed(&reference, Column::Nominal) || speaks_of(&reference, "reference") {
        guess
            .to_check
            .push(format!("nominal = \"{reference}\": {words}."));
        guess.take(&Answer::Map(Column::Nominal, reference));
        return;
    }
    // It may be the value before this one too.
    let words = format!(
        "\"{reference}\" is not read, and {words}: is it the nominal value, which is subtracted?"
    );
    let doubt = Doubt::new("nominal_not_read", words)
        .or("no, the readings stand as they are", Answer::AsTaken)
        .or(
            "it is the nominal value",
            Answer::Map(Column::Nominal, reference),
        );
    guess.doubts.push(doubt);
}
