/*! Readings that all lie far beyond the limits, close together: values or numbers in another unit, where
errors are meant. Each of them counts as a failure, and the reader looks for it in the instrument. */

use super::scrutiny::Scrutiny;

/// Widths of the tolerance by which each reading lies beyond a limit. Common practice, no source: what fails
/// by so much at every check is out of use.
const FAR: f64 = 10.0;

/// Readings that must say so.
const FEWEST: usize = 2;

/// Warns where every reading of a history lies so, on one side and nearer to the others than to the limit.
pub(crate) fn all_beyond(found: &mut Scrutiny<'_>) {
    let history = found.history;
    let beyond = |i: usize| {
        let (error, tolerance) = (history.as_found[i], history.tolerance_at(i)?);
        let width = tolerance.upper() - tolerance.lower();
        let by = (error - tolerance.upper()).max(tolerance.lower() - error);
        (by > FAR * width).then_some((error, by))
    };
    let read = (0..history.len()).filter(|i| history.as_found[*i].is_finite());
    let Some(all) = read.map(beyond).collect::<Option<Vec<(f64, f64)>>>() else {
        return;
    };
    let least = all
        .iter()
        .fold(f64::INFINITY, |least, (error, _)| least.min(*error));
    let most = all
        .iter()
        .fold(f64::NEG_INFINITY, |most, (error, _)| most.max(*error));
    let nearest = all
        .iter()
        .fold(f64::INFINITY, |least, (_, by)| least.min(*by));
    if all.len() < FEWEST || most - least > nearest {
        return;
    }
    let words = format!(
        "all of its readings, {least} to {most}, lie more than {FAR} widths of the tolerance beyond a limit, and each counts as a failure: are they values rather than errors (a column nominal tells what is subtracted), or in another unit than the limits?"
    );
    found.warn(words);
}
