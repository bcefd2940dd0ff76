/*! docs/tables.md: every table of a report with its columns, made from the tables themselves. */

use super::fleet::instruments;
use super::sessions::tables as sessions;
use super::{
    adoption, cases, conformity, control, diagnostics, doubts, given, tables as lists, values,
};
use crate::control::SharedShifts;
use crate::records::{Histories, Loaded};
use crate::report::proof::tables as replay;
use crate::report::table::Table;
use crate::report::{fits_table, tables};
use crate::thermometry::session_findings::SessionFindings;

const OPENING: &str = "\
# Tables

Every table a run writes, with its columns from left to right; a new column comes at the right end. Made by `driftbook tables`; do not edit.
Each is written as CSV and as Parquet, of more than 20,000 histories as Parquet alone (`[output] tables`); rejects and warnings always as CSV alone. Dates are ISO 8601; errors, limits and standard uncertainties (`u_…`, k = 1) are in the history's unit unless the name
ends in another; columns that end in `_p` are p-values; probabilities and shares lie between 0 and 1; an empty cell was not known, and the table or `reason` says why. `instrument` and `point` name the history in all of them, and rows stand in the order of their numbers: A2 before A10, 500 Hz before 1 kHz.
Tables of thermometry, doubts and replay are written where the run has such data. CSV files use the plain hyphen as minus sign.

| table | a row | columns |
| --- | --- | --- |
";

/// A table: its name, what a row is, and the table without a row.
type Listed<'a> = (&'static str, &'static str, Table<'a>);

/// The page as Markdown.
pub(crate) fn markdown() -> String {
    let (none, shared) = (Histories::default(), SharedShifts::default());
    let thermometry = SessionFindings::default();
    let mut each = of_records(&none, &shared);
    each.extend(of_sessions(&thermometry));
    each.extend(of_replay(&none));
    let row =
        |(name, row, table): &Listed<'_>| format!("| `{name}` | {row} | {} |\n", table.described());
    each.iter()
        .fold(OPENING.to_string(), |page, table| page + &row(table))
}

fn of_records<'a>(none: &'a Histories, shared: &'a SharedShifts) -> Vec<Listed<'a>> {
    vec![
        ("decisions", "a history", tables::decisions(&[], 0.0)),
        (
            "instruments",
            "an instrument",
            instruments::table(none, &[], &[]),
        ),
        (
            "cases",
            "a finding: a check out of tolerance, or too near a limit for the decision rule",
            cases::table(&[]),
        ),
        ("proposals", "a history and method", tables::proposals(&[])),
        ("fits", "a history", fits_table::fits(&[], &[])),
        ("coefficients", "a term of a fit", tables::coefficients(&[])),
        ("forecast", "a history and date", tables::forecast(&[])),
        ("diagnostics", "a history", diagnostics::table(&[])),
        (
            "adoption",
            "a calibration (the latest 40 of a history; beyond 20,000 histories the latest)",
            adoption::table(&[]),
        ),
        (
            "conformity",
            "a history that has a page, with a value and a tolerance",
            conformity::table(none, &[], "", &[]),
        ),
        ("control", "a charted check", control::table(none, &[])),
        (
            "sources",
            "a source of a class that has several",
            given::sources_table(&[]),
        ),
        (
            "comparisons",
            "a calibration or comparison, where a record names a source, an assigned value or a comparison",
            given::comparisons_table(none, None, &[]),
        ),
        (
            "shared_shifts",
            "a shift that many items share (where there is one)",
            control::shared_table(shared),
        ),
        (
            "values",
            "a shown item and a date of its interval (as-of date, each quarter, due date in force or proposed, the later one)",
            values::table(none, &[]),
        ),
        ("doubts", "a job", doubts::table(&[])),
        (
            "rejects",
            "a row that could not be used",
            lists::rejects(&Loaded::default()),
        ),
        ("warnings", "a warning", lists::warnings(&[])),
    ]
}

fn of_sessions(thermometry: &SessionFindings) -> Vec<Listed<'_>> {
    vec![
        (
            "sessions",
            "a thermometer in a session",
            sessions::sessions(&[]),
        ),
        (
            "budgets",
            "a component of a session's uncertainty",
            sessions::budgets(&[]),
        ),
        (
            "ratios",
            "a W at another fixed point",
            sessions::ratios(thermometry),
        ),
        (
            "thermometers",
            "a thermometer",
            sessions::thermometers(thermometry),
        ),
    ]
}

fn of_replay(none: &Histories) -> Vec<Listed<'_>> {
    vec![
        (
            "replay/coverage",
            "a set of forecasts",
            replay::coverage_table(&[]),
        ),
        (
            "replay/forecasts",
            "a past forecast",
            replay::forecast_table("", none, &[]),
        ),
        ("replay/methods", "a method", replay::method_table(&[])),
        (
            "replay/past_decisions",
            "a method at a past calibration, and last on the as-of date",
            replay::decision_table(none, &[], &[]),
        ),
        (
            "replay/differences",
            "a comparison on the same cases",
            replay::difference_table(&[]),
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_in_docs_is_up_to_date() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/tables.md");
        let kept = std::fs::read_to_string(path).unwrap_or_default();
        assert!(
            kept == markdown(),
            "docs/tables.md is out of date: cargo run --release -- tables > docs/tables.md"
        );
    }
}
