/*! Limits that hold the nominal value and not 0: of the value or of the error, nothing says. */

use crate::records::LoadError;
use crate::records::cells::batch::{Batch, BatchReject};
use crate::records::cells::open::OpenCell;
use crate::records::collect::Headers;

/// Refuses files with such limits.
///
/// # Errors
/// The first row of them, and the setting to state.
pub(crate) fn check(
    batches: &[Batch],
    headers: &[Headers],
    file: impl Fn(u32) -> String,
) -> Result<(), LoadError> {
    let open = |reject: &&BatchReject| reject.open == Some(OpenCell::LimitsAre);
    let first = batches.iter().find_map(|batch| {
        let all = batch.rejects.iter().chain(&batch.bare);
        Some((batch, all.filter(open).min_by_key(|reject| reject.row)?))
    });
    let Some((batch, reject)) = first else {
        return Ok(());
    };
    let what = format!(
        "row {}, column \"{}\", \"{}\": the limits hold the nominal value and not 0: they seem to be limits of the value, and not of the error",
        batch.first_row + reject.row,
        headers[batch.file as usize].of(reject.column),
        reject.value
    );
    let mend = "State limits_are = \"value\" under [checks] (the nominal value is subtracted from them), or limits_are = \"error\".";
    Err(LoadError::new(file(batch.file), what, mend).asking(OpenCell::LimitsAre.setting()))
}
