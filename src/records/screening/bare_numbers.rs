/*! Bare numbers beside values in several units: in which of them they are, nobody can tell. */

use crate::records::LoadError;
use crate::records::cells::batch::Batch;
use crate::records::cells::unit::same_unit;
use crate::records::load::collect::Headers;

/// Refuses a file whose bare numbers would be in one unit here and in another there, as the cells
/// of what was found are.
///
/// # Errors
/// The column of the bare numbers, with a row of each unit.
pub(crate) fn check(
    batches: &[Batch],
    headers: &[Headers],
    file: impl Fn(u32) -> String,
) -> Result<(), LoadError> {
    let mut first: Option<(u32, u32, &str)> = None;
    for batch in batches {
        for (unit, row, column) in &batch.lent {
            let row = batch.first_row + row;
            match first.filter(|(of, ..)| *of == batch.file) {
                Some((_, other, known)) if !same_unit(known, unit) => {
                    let header = headers[batch.file as usize].of(Some(*column));
                    let what = format!(
                        "column \"{header}\" has bare numbers, beside values in {known} (row {other}) and in {unit} (row {row}): in which unit they are the file does not say"
                    );
                    let mend = format!(
                        "State it in the header, such as \"{header} [{known}]\", or unit = \"{known}\" under [checks], which all bare numbers are in."
                    );
                    return Err(LoadError::new(file(batch.file), what, mend));
                }
                Some(_) => {}
                None => first = Some((batch.file, row, unit)),
            }
        }
    }
    Ok(())
}
