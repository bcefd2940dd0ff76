/*! The header of another table below the first: what stands below it is no record of this table. */

use crate::records::LoadError;
use crate::records::cells::batch::Batch;
use crate::records::reading::aside::Aside;

/// Refuses files with such a row.
///
/// # Errors
/// The first of them.
pub(crate) fn check(batches: &[Batch], file: impl Fn(u32) -> String) -> Result<(), LoadError> {
    let first = batches.iter().find_map(|batch| {
        let mut rows = batch.set_aside.iter();
        let (_, row) = rows.find(|(what, _)| *what == Aside::OtherTable)?;
        Some((batch.file, batch.first_row + row))
    });
    let Some((table, row)) = first else {
        return Ok(());
    };
    let what = format!(
        "row {row} is the header of another table: what stands below it would be read by the header above"
    );
    let mend = "Put each table into a file or a sheet of its own.";
    Err(LoadError::new(file(table), what, mend))
}
