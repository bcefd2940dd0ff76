/*! Rows that could be checks, of an item or a point named as a sum or a mean is: nothing says which
they are. */

use crate::records::LoadError;
use crate::records::cells::batch::Batch;
use crate::records::load::collect::Headers;
use crate::records::reading::aside::names_a_sum;
use crate::records::settings::words::SumsAre;
use rayon::prelude::*;

/// The setting that says what they are.
pub(crate) const SUMS_ARE: &str = "sums_are";

/// Refuses files with such rows.
///
/// # Errors
/// The first row of them, and the setting to state.
pub(crate) fn check(
    batches: &[Batch],
    headers: &[Headers],
    file: impl Fn(u32) -> String,
) -> Result<(), LoadError> {
    let open = |batch: &&Batch| headers[batch.file as usize].sums_are == SumsAre::Auto;
    let found = |batch| Some((batch, first_sum(batch)?));
    let first = batches.par_iter().filter(open).find_map_first(found);
    let Some((batch, (row, name))) = first else {
        return Ok(());
    };
    let what = format!(
        "row {}: \"{name}\" has a date and a value, and seems to sum other rows up",
        batch.first_row + row
    );
    let mend = "State sums_are = \"aside\" under [checks] (such rows are no checks), or sums_are = \"records\" where it is the name of an item or a point.";
    Err(LoadError::new(file(batch.file), what, mend).asking(SUMS_ARE))
}

/// The first row of a batch whose item or point is named as a sum is, with that name.
fn first_sum(batch: &Batch) -> Option<(u32, String)> {
    // Most items stand next to others of the same point, which need not be looked at again.
    let mut no_sum = None;
    let mut first = None;
    for (code, (item, point)) in (0u32..).zip(batch.names.iter()) {
        let name = match names_a_sum(item) {
            true => item,
            false if no_sum == Some(point) => continue,
            false if names_a_sum(point) => point,
            false => {
                no_sum = Some(point);
                continue;
            }
        };
        let at = batch.code.iter().position(|own| *own == code);
        let found = at.map(|at| (batch.row[at], name.trim().to_string()));
        first = first.into_iter().chain(found).min();
    }
    first
}
