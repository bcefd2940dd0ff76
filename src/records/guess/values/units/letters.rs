/*! Symbols that end headers of limits, uncertainties and nominal values and may be units, other than that of the errors. */

use crate::records::cells::column::Column;
use crate::records::cells::unit::{may_be_unit, same_unit};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::{Guess, header_of};

/// Columns whose numbers are taken in the unit of the errors where their headers state none.
const IN_THE_UNIT_OF_ERRORS: [Column; 6] = [
    Column::Tolerance,
    Column::Lower,
    Column::Upper,
    Column::U,
    Column::AsLeft,
    Column::Nominal,
];

/// Asks about `Limit V` beside `Error %`, and `Tol K` beside `Error [mK]`: without a mark it may be a unit, and the
/// numbers of such a column are taken in that of the errors.
pub(crate) fn about_letters(guess: &Guess) -> Option<Doubt> {
    let found = header_of(guess, Column::AsFound)?;
    // Each row states the unit of all its numbers.
    if guess.reads(Column::Unit) {
        return None;
    }
    let own = match guess.unit.as_str() {
        "" => may_be_unit(&found),
        unit => Some(unit),
    };
    let own = own.map(str::to_string)?;
    let read = |column: &Column| header_of(guess, *column);
    let offered = guess.doubts.iter().flat_map(|doubt| &doubt.choices);
    let offered = offered.filter_map(|choice| match &choice.answer {
        Answer::Map(column, header) if IN_THE_UNIT_OF_ERRORS.contains(column) => {
            Some(header.clone())
        }
        _ => None,
    });
    let mut headers = IN_THE_UNIT_OF_ERRORS.iter().filter_map(read).chain(offered);
    let other = |header: &String| may_be_unit(header).is_some_and(|unit| !same_unit(unit, &own));
    let header = headers.find(other)?;
    let unit = may_be_unit(&header).unwrap_or_default().to_string();
    let words = format!(
        "The {unit} that ends \"{header}\" may be the unit of its numbers, and the errors are in {own}, in which they are taken. Where it is their unit, write it in brackets in the file ([{unit}]), so that they are turned."
    );
    let doubt = Doubt::new("unit_in_header", words).of_form();
    Some(doubt.or(
        format!("it is no unit, or the numbers are in {own}"),
        Answer::AsTaken,
    ))
}
