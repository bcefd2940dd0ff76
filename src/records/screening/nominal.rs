/*! Whether `as_found` is a value from which `nominal` is subtracted, or an error already.

Values lie near their nominal value, errors lie near zero beside it. Where the numbers of
a file say the one and its header the other, or where both readings fit, nothing is
subtracted or left on a guess: the person states it.
*/

use crate::records::cells::number::Number;
use crate::records::cells::shape::meaning_of;
use crate::records::settings::words::AsFoundIs;
use crate::records::{Histories, LoadError, Loaded, Tolerance, Warning};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Share of the nominal value within which a value lies near it, or an error near zero.
/// Common practice, no source: a working standard is right to far better than a tenth.
const NEAR: f64 = 0.1;
/// Share of a file's readings that must agree on one meaning: some may be slips or failures.
const ENOUGH: f64 = 0.7;
/// Share of the readings that may agree with the other meaning beside it.
const FEW: f64 = 0.2;

/// What the readings of one file say.
#[derive(Debug, Clone, Copy, Default)]
struct Readings {
    /// With a nominal value other than zero.
    all: usize,
    near_nominal: usize,
    near_zero: usize,
    /// With limits, in tolerance as errors after the subtraction and without it.
    limited: usize,
    in_as_values: usize,
    in_as_errors: usize,
    /// The first, for messages: row, as found, nominal.
    example: (u32, f64, f64),
}

/// Refuses files in which the nominal value was subtracted from what may be an error already;
/// warns of single histories that look so. `headers` are those of `as_found`, by table, with what
/// is stated of them.
///
/// # Errors
/// The file with the numbers that speak against it, and the setting to state.
pub(crate) fn check(loaded: &mut Loaded, headers: &[(String, AsFoundIs)]) -> Result<(), LoadError> {
    let unstated = |(_, stated): &&(String, AsFoundIs)| *stated == AsFoundIs::Auto;
    let names_correction = |(header, stated): &(String, AsFoundIs)| {
        *stated == AsFoundIs::Auto && meaning_of(header) == AsFoundIs::Correction
    };
    if let Some(file) = headers.iter().position(names_correction) {
        let place = loaded
            .tables
            .get(file)
            .map_or(String::new(), ToString::to_string);
        let what = format!(
            "the column \"{}\" names a correction, which is minus the error",
            headers[file].0
        );
        let mend = "State as_found_is = \"correction\" under [checks], so that its sign is turned; if it is an error, as_found_is = \"error\".";
        return Err(LoadError::new(place, what, mend).asking("correction"));
    }
    for (file, readings) in by_file(&loaded.histories) {
        let Some((header, _)) = headers.get(file as usize).filter(unstated) else {
            continue;
        };
        if let Some((why, setting)) = readings.doubt(header) {
            let name = loaded.tables.get(file as usize);
            let place = name.map_or(String::new(), ToString::to_string);
            return Err(LoadError::new(
                place,
                why,
                "If it is an error, state nominal = false under [checks.columns]; if it is a value, as_found_is = \"value\" under [checks].",
            )
            .asking(setting));
        }
    }
    let odd = loaded.histories.par_iter().filter_map(|history| {
        let near_zero = |i: usize| {
            let nominal = history.nominal[i];
            nominal != 0.0 && (history.as_found[i] + nominal).abs() <= NEAR * nominal.abs()
        };
        let value = sum(history.as_found[0], history.nominal[0]);
        (0..history.len()).all(near_zero).then(|| {
            let words = format!(
                "readings such as {value} beside a nominal value of {} look like errors, and the nominal value was subtracted: are they values?",
                history.nominal[0]
            );
            Warning::new(history.item.name(), words)
        })
    });
    let odd: Vec<Warning> = odd.collect();
    loaded.warnings.extend(odd);
    Ok(())
}

fn by_file(histories: &Histories) -> BTreeMap<u32, Readings> {
    let columns = &histories.columns;
    let mut files: BTreeMap<u32, Readings> = BTreeMap::new();
    if columns.nominal.iter().all(|nominal| *nominal == 0.0) {
        return files;
    }
    for history in histories.iter() {
        for i in 0..history.len() {
            let (error, nominal) = (history.as_found[i], history.nominal[i]);
            if nominal != 0.0 && error.is_finite() {
                let (file, row) = history.source[i];
                files
                    .entry(file)
                    .or_default()
                    .add(row, error, nominal, history.tolerance_at(i));
            }
        }
    }
    files
}

/// The value of which `error` is what lies beyond `nominal`, with the digits that the record has.
fn sum(error: f64, nominal: f64) -> f64 {
    let exact = || Some(Number::from_double(error)?.minus(Number::from_double(-nominal)?));
    exact().unwrap_or(error + nominal)
}

/// True where a number is small beside the nominal value, as an error is and a value is not.
pub(crate) fn lies_near_zero(number: f64, nominal: f64) -> bool {
    number.abs() <= NEAR * nominal.abs()
}

impl Readings {
    fn add(&mut self, row: u32, error: f64, nominal: f64, tolerance: Option<Tolerance>) {
        let value = sum(error, nominal);
        if self.all == 0 {
            self.example = (row, value, nominal);
        }
        self.all += 1;
        self.near_nominal += usize::from(error.abs() <= NEAR * nominal.abs());
        self.near_zero += usize::from(lies_near_zero(value, nominal));
        if let Some(tolerance) = tolerance {
            self.limited += 1;
            self.in_as_values += usize::from(tolerance.contains(error));
            self.in_as_errors += usize::from(tolerance.contains(value));
        }
    }

    /// Why the subtraction is in doubt, and the setting that mends it: `nominal` where only
    /// errors fit. `None` where numbers and header agree on values.
    fn doubt(&self, header: &str) -> Option<(String, &'static str)> {
        let says = meaning_of(header);
        let share = |count: usize, all: usize| count as f64 >= ENOUGH * all as f64;
        let (row, value, nominal) = self.example;
        let example = format!("row {row} has {value} beside a nominal value of {nominal}");
        if share(self.near_nominal, self.all) {
            let words = format!(
                "the column \"{header}\" names an error, but its numbers lie near the nominal values ({example})"
            );
            return (says == AsFoundIs::Error).then_some((words, "as_found_is"));
        }
        if share(self.near_zero, self.all) {
            let words = format!(
                "the column \"{header}\" holds what look like errors already, from which the nominal value would be subtracted ({example})"
            );
            let clear = says != AsFoundIs::Value;
            return Some((words, if clear { "nominal" } else { "as_found_is" }));
        }
        // Errors by their header that lie nowhere near the nominal values are no values.
        if says == AsFoundIs::Error && self.near_nominal as f64 <= FEW * self.all as f64 {
            let words = format!(
                "the column \"{header}\" names an error, and its numbers lie away from the nominal values ({example})"
            );
            return Some((words, "nominal"));
        }
        let by_limits = self.limited == self.all
            && share(self.in_as_values, self.limited)
            && self.in_as_errors as f64 <= FEW * self.limited as f64;
        let by_header = says == AsFoundIs::Value;
        let words = format!(
            "the column \"{header}\" may hold values or errors: {example}, and both readings fit"
        );
        (!by_limits && !by_header).then_some((words, "as_found_is"))
    }
}
