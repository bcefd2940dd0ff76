/*! Whether the cells of a column can be what its header says. */

use super::super::headers::{folded, is_largest};
use super::super::said::own_facts::is_interval;
use super::super::sample::{Sample, is_number, is_unknown_outcome};
use crate::records::cells::column::Column;
use crate::records::cells::digits::{begins_with_digit, has_digit};
use crate::records::cells::field;
use crate::records::cells::marks::Marks;
use crate::records::cells::number::Number;
use crate::records::cells::number::coverage::with_factor;
use crate::records::cells::number::written::{Form, pair, written};
use crate::records::cells::shape::pairs_of;
use crate::records::cells::unit::{self, Quantity, Unit};
use crate::records::settings::words::Pairs;
use crate::records::words::speaks_of;
use crate::records::words::words;

pub(super) fn content_fits(sample: &Sample, column: Column, is_date: bool, marks: Marks) -> bool {
    let number = || sample.mostly(|v| is_number(v, marks));
    match column {
        // A column that measures names no item: `HR patrón (%)` beside `Higrómetro`.
        Column::Instrument => {
            let measures = unit::of_header(&sample.header).is_some()
                && sample.mostly(|v| number_alone(v, marks));
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
        // An error of the span is no range, and no range is negative or a part of itself.
        Column::Range => {
            let negative = |v: &str| number_of(v, marks).is_some_and(|value| value < 0.0);
            let part = unit::of_header(&sample.header).is_some_and(|unit| unit.contains('%'));
            let error = part || speaks_of(&sample.header, "error");
            !is_date && !error && !sample.values().any(negative)
        }
        // A deviation from the nominal value is none.
        Column::Nominal => !is_date && number() && !speaks_of(&sample.header, "error"),
        // The words that no list knows are asked about.
        Column::InTolerance => {
            let known = sample.values().filter(|v| !is_unknown_outcome(v)).count();
            known > 0 && 2 * known >= sample.values.len()
        }
        // Each cell may state its factor.
        Column::U => {
            let bare = |v: &str| with_factor(v).map_or(v.to_string(), |(v, _)| v.to_string());
            !is_date && (number() || sample.mostly(|v| is_number(&bare(v), marks)))
        }
        Column::AsLeft => !is_date && !holds_pairs(sample) && number(),
        Column::CoverageFactor => {
            let factor = |v: &str| Number::parse(v, marks).map_or(0.0, |number| number.value);
            !is_date && sample.values().all(|v| (1.0..=10.0).contains(&factor(v)))
        }
        // "none" stands for a number that is missing, too.
        Column::Event => {
            let counts = sample.mostly(|v| has_digit(v) && is_number(v, marks));
            !is_date && (sample.values.is_empty() || !counts)
        }
        // A tolerance may be a sum of parts, such as 0.1 % + 0.02; one that changes its sign is none.
        Column::Tolerance => {
            !is_date && !on_both_sides_of_zero(sample, marks) && sample.mostly(has_digit)
        }
        // Numbers of certificates, each its own, are no sources: these give many readings.
        Column::Source => !is_date && !number() && 2 * sample.distinct() <= sample.values.len(),
        Column::Kind => sample.mostly(|v| field::kind(v).is_some()),
        _ => !is_date && number(),
    }
}

/// True where two numbers stand in a cell: what was found, and behind it what was left.
fn holds_pairs(sample: &Sample) -> bool {
    // Nothing may have been adjusted yet.
    let pairs = || !sample.values.is_empty() && sample.mostly(|v| pair(v).is_some());
    pairs_of(&sample.header) == Pairs::FoundLeft || pairs()
}

/// True where some numbers are above zero and some below.
fn on_both_sides_of_zero(sample: &Sample, marks: Marks) -> bool {
    let numbers = sample.values().filter_map(|v| number_of(v, marks));
    let mut signs = numbers
        .filter(|value| *value != 0.0)
        .map(|value| value > 0.0);
    let first = signs.next();
    signs.any(|sign| Some(sign) != first)
}

/// True for a column of outcomes alone, "P" and "F" or "ok": they name no item.
pub(super) fn holds_outcomes(sample: &Sample) -> bool {
    let words = |v: &str| v.contains(char::is_alphabetic) && !is_unknown_outcome(v);
    sample.values().next().is_some() && sample.values().all(words)
}

fn number_of(text: &str, marks: Marks) -> Option<f64> {
    let cell = written(text, marks).ok()?;
    (cell.form == Form::Plain).then_some(cell.number.value)
}

fn number_alone(text: &str, marks: Marks) -> bool {
    written(text, marks).is_ok_and(|cell| cell.unit.is_empty())
}

/// True for a column whose cells are numbers with decimals.
pub(super) fn holds_decimals(sample: &Sample) -> bool {
    let decimal = |v: &str| {
        let marks = |comma| Marks {
            comma,
            grouped: true,
        };
        v.contains(['.', ','])
            && [false, true]
                .iter()
                .any(|comma| number_alone(v, marks(*comma)))
    };
    sample.values().next().is_some() && sample.mostly(decimal)
}

/// True for a column whose cells are numbers with a unit that is understood: `1413.0 µS/cm`.
pub(super) fn holds_amounts(sample: &Sample) -> bool {
    let amount = |v: &str| {
        let marks = |comma| Marks {
            comma,
            grouped: true,
        };
        let of =
            |comma| written(v, marks(comma)).is_ok_and(|cell| Unit::parse(cell.unit).is_some());
        // `11-A` and `12V` may be names.
        let parted = v.rsplit_once(' ').is_some_and(|(before, unit)| {
            before.ends_with(|c: char| c.is_ascii_digit()) && !begins_with_digit(unit)
        });
        parted && begins_with_digit(v) && (of(false) || of(true))
    };
    sample.values().next().is_some() && sample.mostly(amount)
}

/// Fewest rows that show that a column only counts them.
const FEWEST_COUNTED: usize = 4;

/// True for a column of whole numbers that rise from each row to the next, as those of a database do.
pub(super) fn counts_rows(sample: &Sample) -> bool {
    let numbers = sample.values().map_while(|v| v.parse::<u64>().ok());
    let numbers: Vec<u64> = numbers.collect();
    numbers.len() >= FEWEST_COUNTED
        && numbers.len() == sample.values().count()
        && numbers.windows(2).all(|pair| pair[0] < pair[1])
}
