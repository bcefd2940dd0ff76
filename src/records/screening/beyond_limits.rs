/*! Readings that all lie far beyond the limits, close together: values or numbers in another unit, where
errors are meant. Each of them counts as a failure, and the reader looks for it in the instrument. */

use super::scrutiny::Scrutiny;
use crate::records::History;

/// Widths of the tolerance by which each reading lies beyond a limit. Common practice, no source: what fails
/// by so much at every check is out of use.
const FAR: f64 = 10.0;

/// Readings that must say so.
const FEWEST: usize = 2;

/// The least and the most of a history's readings where every one lies so, on one side and nearer to the others than to
/// the limit.
pub(crate) fn far_beyond(history: &History<'_>) -> Option<(f64, f64)> {
    let beyond = |i: usize| {
        let (error, tolerance) = (history.as_found[i], history.tolerance_at(i)?);
        let width = tolerance.upper() - tolerance.lower();
        let by = (error - tolerance.upper()).max(tolerance.lower() - error);
        (by > FAR * width).then_some((error, by))
    };
    let read = (0..history.len()).filter(|i| history.as_found[*i].is_finite());
    let all = read.map(beyond).collect::<Option<Vec<(f64, f64)>>>()?;
    let least = |of: fn(&(f64, f64)) -> f64| all.iter().map(of).fold(f64::INFINITY, f64::min);
    let most = all
        .iter()
        .map(|(error, _)| *error)
        .fold(f64::NEG_INFINITY, f64::max);
    let (low, nearest) = (least(|(error, _)| *error), least(|(_, by)| *by));
    (all.len() >= FEWEST && most - low <= nearest).then_some((low, most))
}

/// Warns where every reading of a history lies so.
pub(crate) fn all_beyond(found: &mut Scrutiny<'_>) {
    let Some((least, most)) = far_beyond(found.history) else {
        return;
    };
    let words = format!(
        "all of its readings, {least} to {most}, lie more than {FAR} widths of the tolerance beyond a limit, and each counts as a failure: are they values rather than errors (a column nominal tells what is subtracted), or in another unit than the limits?"
    );
    found.warn(words);
}
