/*! Limits that hold the nominal value and not 0: of the value or of the error, nothing says. */

use crate::records::LoadError;
use crate::records::cells::batch::{Batch, BatchReject};
use crate::records::cells::column::Column;
use crate::records::cells::limits::open::OpenCell;
use crate::records::cells::sparse::value;
use crate::records::load::collect::Headers;
use crate::records::settings::words::LimitsAre;

/// Refuses files with such limits, and files beside no nominal value of which all limits are on one
/// side of 0 and all readings beyond them: limits of the value beside errors, as far as one sees.
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
        return refuse_far(batches, headers, file);
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

/// Refuses files of which all limits lie on one side of 0 and all readings beyond them, on the side
/// of 0.
fn refuse_far(
    batches: &[Batch],
    headers: &[Headers],
    file: impl Fn(u32) -> String,
) -> Result<(), LoadError> {
    for (number, names) in (0u32..).zip(headers) {
        let own = batches.iter().filter(|batch| batch.file == number);
        let mut far = own.flat_map(|batch| {
            let limited = (0..batch.row.len()).filter_map(|i| short_of_limits(batch, i as u32));
            limited.map(move |far| (batch, far))
        });
        let mut first = None;
        let all = far.all(|(batch, (row, far))| {
            first.get_or_insert(batch.first_row + row);
            far
        });
        let Some(row) = first.filter(|_| all && names.limits_are == LimitsAre::Auto) else {
            continue;
        };
        let (lower, upper) = (names.of(Some(Column::Lower)), names.of(Some(Column::Upper)));
        let what = format!(
            "row {row}, columns \"{lower}\" and \"{upper}\": all limits lie on one side of 0, and all readings beyond them, nearer to 0: they seem to be limits of the value beside errors"
        );
        let mend = "Add the nominal value in a column nominal, with limits_are = \"value\" under [checks]; or state limits_are = \"error\", and the readings are out of tolerance.";
        let error = LoadError::new(file(number), what, mend);
        return Err(error.asking(OpenCell::LimitsAre.setting()));
    }
    Ok(())
}

/// The row of a reading with both limits and no nominal value, and whether it lies between 0 and
/// limits of one sign; `None` for any other row.
fn short_of_limits(batch: &Batch, index: u32) -> Option<(u32, bool)> {
    let columns = &batch.columns;
    let number = |column: &[f64]| value(column, index, f64::NAN);
    let (lower, upper) = (number(&columns.lower), number(&columns.upper));
    let found = number(&columns.as_found);
    let bare = value(&columns.nominal, index, 0.0) == 0.0;
    let stated = bare && lower.is_finite() && upper.is_finite() && found.is_finite();
    let far = lower > 0.0 && found < lower || upper < 0.0 && found > upper;
    stated.then(|| (batch.row[index as usize], far))
}
