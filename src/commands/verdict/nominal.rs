/*! The nominal value of a new reading: an error is not taken for a value, nor a value for an error. */

use crate::commands::CommandError;
use crate::decisions::with_reading::error;
use crate::records::History;
use crate::records::append::check::NewCheck;
use crate::records::screening::nominal::lies_near_zero;

/// A reading of the command line with the last nominal value of the records, where it states none. A file states its
/// own, as records do.
pub(super) fn less_nominal(
    mut check: NewCheck,
    history: &History<'_>,
) -> Result<NewCheck, CommandError> {
    if check.nominal.is_nan()
        && let Some(nominal) = last_nominal(history)
    {
        check.nominal = nominal;
        refuse_error_for_value(&check, history)?;
    }
    Ok(check)
}

/// The nominal value of the last record; `None` where it states none.
fn last_nominal(history: &History<'_>) -> Option<f64> {
    history.nominal.last().copied().filter(|n| *n != 0.0)
}

/// Refuses a row without a nominal value whose number is no error within the limits and lies near the nominal value
/// of the records: as in records, it would be an error.
pub(super) fn refuse_value_for_error(
    check: &NewCheck,
    history: &History<'_>,
) -> Result<(), CommandError> {
    let value = check.as_found;
    let near = last_nominal(history).is_some_and(|n| lies_near_zero(value - n, n));
    let tolerance = history.tolerance_at(history.len().saturating_sub(1));
    let as_error = tolerance.is_some_and(|limits| limits.contains(value));
    match check.nominal.is_nan() && near && !as_error {
        true => Err(CommandError::usage(format!(
            "{value} of {} has no nominal value beside it and would be its error; add the column of nominal values, as the \
             records have it",
            history.item.name()
        ))),
        false => Ok(()),
    }
}

/// Refuses a reading that is an error within the limits, and as a value far from the nominal value of the records.
fn refuse_error_for_value(check: &NewCheck, history: &History<'_>) -> Result<(), CommandError> {
    let (value, nominal) = (check.as_found, check.nominal);
    let tolerance = history.tolerance_at(history.len().saturating_sub(1));
    let as_error = tolerance.is_none_or(|limits| limits.contains(value));
    let from_nominal = error(value, nominal);
    let as_value = tolerance.is_some_and(|limits| limits.contains(from_nominal));
    match lies_near_zero(value, nominal) && as_error && !as_value {
        true => Err(CommandError::usage(format!(
            "{value} may be the value or the error: the records of {} have the nominal value {nominal}, from which it is {from_nominal}; \
             give the value, or the error with --nominal 0",
            history.item.name()
        ))),
        false => Ok(()),
    }
}
