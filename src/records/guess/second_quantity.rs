/*! A second quantity in the rows of a table: errors of humidity, and of temperature beside them. */

use super::doubt::{Answer, Doubt};
use super::draft::{Guess, header_of};
use super::headers::folded;
use super::sample::Sample;
use crate::records::cells::column::Column;
use crate::records::cells::unit::{self, Unit};
use crate::records::words::speaks_of;

/// Asks about a column of errors that is not read and is in a unit of another quantity than the readings: its
/// histories would be missing, with their failures. The same error in two units has one name.
pub(super) fn about_second_quantity(samples: &[Sample], guess: &mut Guess) {
    let Some(own) = header_of(guess, Column::AsFound) else {
        return;
    };
    let Some(own_unit) = unit::of_header(&own) else {
        return;
    };
    let marks = guess.marks();
    let quantity = |unit: &str| Unit::parse(unit).map(|unit| unit.quantity);
    let second = |sample: &&Sample| {
        let header = &sample.header;
        let of_other = unit::of_header(header).is_some_and(|unit| {
            !unit::same_unit(unit, own_unit)
                && quantity(unit).is_none_or(|q| quantity(own_unit) != Some(q))
        });
        speaks_of(header, "error")
            && speaks_of(&own, "error")
            && of_other
            && folded(header) != folded(&own)
            && sample.holds_numbers(marks)
    };
    let Some(sample) = guess.not_read(samples).into_iter().find(second) else {
        return;
    };
    let words = format!(
        "\"{}\" is not read, and seems to hold the errors of another quantity than \"{own}\": there are no histories of it. Each quantity needs a table of its own; where both are one error in two units, one of them is enough.",
        sample.header
    );
    let doubt = Doubt::new("second_quantity", words);
    guess
        .doubts
        .push(doubt.or(format!("\"{own}\" is enough"), Answer::AsTaken));
}
