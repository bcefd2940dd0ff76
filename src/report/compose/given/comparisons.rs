/*! `comparisons`: each calibration and comparison against what was predicted of it, by the E_n number
of ISO 13528 and ISO/IEC 17043 (from memory). */

use crate::control::{Residual, residuals};
use crate::decisions::stage::DecisionStage;
use crate::files::run_error::RunError;
use crate::records::{CheckKind, Given, Histories};
use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::report::table_writer::TableFolder;
use rayon::prelude::*;

/// Coverage factor of the expanded uncertainties in an E_n number.
const COVERAGE: f64 = 2.0;

/// One calibration or comparison.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Row {
    index: usize,
    /// Row among those of all histories.
    at: usize,
    /// What was predicted; `None` where nothing could be.
    predicted: Option<Residual>,
}

/// Writes `comparisons.csv` and `.parquet`; nothing where no record names a source, an assigned value
/// or a comparison.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn write(
    stage: &DecisionStage<'_>,
    given: Option<&Given>,
    to: TableFolder<'_>,
) -> Result<(), RunError> {
    let histories = stage.histories;
    if given.is_none() && !histories.columns.kind.contains(&CheckKind::Comparison) {
        return Ok(());
    }
    let rows: Vec<Row> = (0..histories.len())
        .into_par_iter()
        .flat_map_iter(|index| rows(stage, given, index))
        .collect();
    to.write_rows("comparisons", &rows, |rows| table(histories, given, rows))
}

/// The calibrations and comparisons of history `index`, and its other rows with an assigned value.
fn rows(stage: &DecisionStage<'_>, given: Option<&Given>, index: usize) -> Vec<Row> {
    let history = stage.histories.get(index);
    let first = stage.histories.offsets[index];
    let stated = |row: usize| given.is_some_and(|given| assigned(given, first + row).0.is_finite());
    let compared = |kind| matches!(kind, CheckKind::Calibration | CheckKind::Comparison);
    let listed: Vec<usize> = (0..history.len())
        .filter(|row| compared(history.kind[*row]) || stated(*row))
        .collect();
    if listed.is_empty() {
        return Vec::new();
    }
    let predicted = residuals(&history, stage.fits.classes.of_history(index), stage.drift);
    let row = |row: usize| Row {
        index,
        at: first + row,
        predicted: predicted
            .iter()
            .find(|residual| residual.row == row)
            .copied(),
    };
    listed.into_iter().map(row).collect()
}

/// What a certificate states at a row, and its standard uncertainty.
fn assigned(given: &Given, at: usize) -> (f64, f64) {
    let of = |column: &[f64]| column.get(at).copied().unwrap_or(f64::NAN);
    (of(&given.assigned), of(&given.u_assigned))
}

pub(crate) fn table<'a>(
    histories: &'a Histories,
    given: Option<&'a Given>,
    rows: &[Row],
) -> Table<'a> {
    let stated = |row: &Row| given.map(|given| assigned(given, row.at));
    let moved = |row: &Row| given.map_or(0.0, |given| given.moved[row.at]);
    let item = |row: &Row| &histories.items[row.index];
    let reading = |row: &Row| histories.columns.as_found[row.at];
    RowTable::of(rows)
        .text("instrument", |row| &item(row).instrument)
        .text("point", |row| &item(row).point)
        .date("date", |row| histories.columns.date[row.at])
        .word("kind", |row| histories.columns.kind[row.at].word())
        .about("check, calibration, comparison")
        .text("source", |row| {
            let giver = given.and_then(|given| given.givers.get(given.giver(row.at)));
            giver.map_or("", String::as_str)
        })
        .number("reading", |row| reading(row) - moved(row))
        .about("as read")
        .number("moved", moved)
        .about("added to it for its source")
        .known("predicted", |row| Some(row.predicted.as_ref()?.expected))
        .about("from the readings before it")
        .known("u_difference", |row| Some(row.predicted.as_ref()?.deviation))
        .about("of reading minus prediction, both parts included")
        .known("e_n", |row| {
            let of = row.predicted.as_ref()?;
            Some((reading(row) - of.expected).abs() / (COVERAGE * of.deviation))
        })
        .about("size of reading minus prediction over their expanded uncertainty (k = 2); above 1 they do not agree")
        .known("assigned", |row| Some(stated(row)?.0))
        .about("value that the certificate states")
        .known("u_assigned", |row| Some(stated(row)?.1))
        .done()
}
