/*! The table of cases: every finding of the records, with its window and what became of it. */

use crate::decisions::bench::Bench;
use crate::decisions::cases::{Finding, Standing, findings, standing};
use crate::records::Item;
use crate::report::run_error::RunError;
use crate::report::table::{Cells, Table};
use crate::report::table_writer::TableWriter;
use rayon::prelude::*;
use std::path::Path;

/// One row of the table.
pub(super) type Row<'a> = (&'a Item, Finding, Standing<'a>);

/// Writes `cases.csv` and `cases.parquet`: one row a finding, in the histories' order.
///
/// # Errors
/// A file that cannot be written.
pub fn write(bench: &Bench<'_>, folder: &Path) -> Result<(), RunError> {
    let failed = |why: polars::prelude::PolarsError| RunError::write("cases", why);
    let rule = bench.tables.conformity.decision_rule();
    let of_history = |index: usize| -> Vec<Row<'_>> {
        let history = bench.histories.get(index);
        let found = findings(&history, &rule);
        let row = |finding: Finding| {
            let became = standing(&history, finding.day, bench.closings, bench.as_of);
            (history.item, finding, became)
        };
        found.into_iter().map(row).collect()
    };
    let each: Vec<Vec<Row<'_>>> = (0..bench.histories.len())
        .into_par_iter()
        .map(of_history)
        .collect();
    let rows = each.concat();
    let table = table(&rows);
    let mut writer = TableWriter::create(folder, "cases", &table, true).map_err(failed)?;
    writer.write(&table).map_err(failed)?;
    writer.finish().map_err(failed)
}

pub(super) fn table<'a>(rows: &'a [Row<'a>]) -> Table<'a> {
    let closed = |get: fn(&crate::decisions::cases::closings::Closing) -> &str| {
        let cell = |(_, _, became): &Row<'a>| match *became {
            Standing::Closed(closing) => get(closing),
            _ => "",
        };
        Cells::Shared(rows.iter().map(cell).collect())
    };
    let closed_on = |(_, _, became): &Row<'a>| match *became {
        Standing::Closed(closing) => closing.on as f64,
        _ => f64::NAN,
    };
    Table::default()
        .with(
            "instrument",
            Cells::Shared(rows.iter().map(|r| r.0.instrument.as_str()).collect()),
        )
        .with(
            "point",
            Cells::Shared(rows.iter().map(|r| r.0.point.as_str()).collect()),
        )
        .with(
            "finding",
            Cells::Date(rows.iter().map(|r| r.1.day).collect()),
        )
.about("date of the check")
        .with(
            "found",
            Cells::Word(rows.iter().map(|r| r.1.kind.word()).collect()),
        )
.about("`out_of_tolerance`, `indeterminate`")
        .with(
            "state",
            Cells::Word(rows.iter().map(|r| r.2.word()).collect()),
        )
.about("`open`; `closed`; `before_book`: older than `[cases] since`; `not_kept`: no book is named")
        .with(
            "good_since",
            Cells::Date(rows.iter().map(|r| r.1.good_since).collect()),
        )
.about("the last check before that conforms by the decision rule, else the last in tolerance; empty where there is none")
        .with("closed_by", closed(|closing| &closing.by))
        .with(
            "closed_on",
            Cells::Date(rows.iter().map(closed_on).collect()),
        )
        .with("closing_action", closed(|closing| &closing.action))
        .with("reference", closed(|closing| &closing.reference))
}
