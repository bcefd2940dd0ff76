/*! Whether what was left is of the kind of what was found: errors beside values, or values beside errors, would
stand as adjustments that nobody made. */

use super::nominal::lies_near_zero;
use crate::records::{Histories, History, LoadError, Loaded};
use std::collections::BTreeMap;

/// Share of the values left that must say so: some may be slips. Our own choice, no source.
const ENOUGH: f64 = 0.7;
/// Widths of the tolerance beyond a limit in which nothing is left that was found near it. Our own choice, no source.
const FAR: f64 = 10.0;
/// Values left that must lie so far: one is a slip.
const FEWEST: usize = 2;

/// What the values left of one file say.
#[derive(Debug, Clone, Copy, Default)]
struct Left {
    /// Values left that are not those found.
    all: usize,
    /// Of these, the errors from which the nominal value was subtracted as from the values found.
    subtracted: usize,
    /// Of these, the ones that lie as far beyond limits as a value does.
    beyond: usize,
    /// The first of them: row, as it was left, as it was found.
    example: Option<(u32, f64, f64)>,
}

/// Refuses files whose values left are of another kind than those found.
///
/// # Errors
/// The file, with the first row that says so.
pub(crate) fn check(loaded: &Loaded) -> Result<(), LoadError> {
    for (file, left) in by_file(&loaded.histories) {
        let Some((row, was_left, found)) = left.example else {
            continue;
        };
        let most = |count: usize| count as f64 >= ENOUGH * left.all as f64;
        let far = left.beyond >= FEWEST && most(left.beyond);
        if !(most(left.subtracted) || far) {
            continue;
        }
        let name = loaded.tables.get(file as usize);
        return Err(LoadError::new(
            name.map_or(String::new(), ToString::to_string),
            format!(
                "what was left is of another kind than what was found (row {row} has the error {found} as found and {was_left} as left): errors beside values, it seems"
            ),
            "Write both as values or both as errors; or state as_left = false under [checks.columns], and adjustments count without what was left.",
        ));
    }
    Ok(())
}

fn by_file(histories: &Histories) -> BTreeMap<u32, Left> {
    let mut files: BTreeMap<u32, Left> = BTreeMap::new();
    for history in histories.iter() {
        for i in 0..history.len() {
            let (left, found) = (history.as_left[i], history.as_found[i]);
            if !left.is_finite() || !found.is_finite() || left == found {
                continue;
            }
            let (file, row) = history.source[i];
            let own = files.entry(file).or_default();
            own.all += 1;
            let (subtracted, beyond) = (is_subtracted(&history, i), is_beyond(&history, i));
            own.subtracted += usize::from(subtracted);
            own.beyond += usize::from(beyond);
            if subtracted || beyond {
                own.example.get_or_insert((row, left, found));
            }
        }
    }
    files
}

/// True where the nominal value was subtracted from what is an error beside it.
fn is_subtracted(history: &History<'_>, i: usize) -> bool {
    let (left, found, nominal) = (history.as_left[i], history.as_found[i], history.nominal[i]);
    nominal != 0.0 && lies_near_zero(found, nominal) && lies_near_zero(left + nominal, nominal)
}

/// True where what was left lies far beyond the limits, and what was found does not.
fn is_beyond(history: &History<'_>, i: usize) -> bool {
    let Some(tolerance) = history.tolerance_at(i) else {
        return false;
    };
    let width = tolerance.upper() - tolerance.lower();
    let beyond =
        |error: f64| (error - tolerance.upper()).max(tolerance.lower() - error) > FAR * width;
    beyond(history.as_left[i]) && !beyond(history.as_found[i])
}

#[cfg(test)]
mod tests {
    use crate::records::testing::load_files;
    use crate::records::{ChecksSettings, LoadError, Loaded, RegisterSettings};

    fn loaded_text(text: &str) -> Result<Loaded, LoadError> {
        let settings = (&ChecksSettings::default(), &RegisterSettings::default());
        load_files(&[("a.csv", text)], settings)
    }

    #[test]
    fn errors_as_left_beside_values_as_found_are_refused() {
        let head = "instrument,date,as_found,nominal,as_left,lower,upper\n";
        let row = |year: u32, left: &str| format!("A,{year}-03-01,100.4,100,{left},-0.5,0.5\n");
        let text = |left: &str| head.to_string() + &row(2021, left) + &row(2022, left);
        let why = loaded_text(&text("0.1")).unwrap_err();
        says!(why.to_string(), "of another kind than what was found");
        assert!(loaded_text(&text("100.1")).is_ok());
    }

    #[test]
    fn values_as_left_beside_errors_as_found_are_refused() {
        let head = "instrument,date,as_found,as_left,lower,upper\n";
        let text = |left: &str| {
            format!("{head}A,2021-03-01,0.4,{left},-0.5,0.5\nA,2022-03-01,0.3,{left},-0.5,0.5\n")
        };
        assert!(loaded_text(&text("100.1")).is_err());
        assert!(loaded_text(&text("0.1")).is_ok());
    }
}
