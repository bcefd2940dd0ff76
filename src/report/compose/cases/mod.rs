/*! Cases: every finding of the records with what became of it, as a table, as what a person may
close, and as a record of its own. */

mod open;
mod record;
mod work;

use crate::decisions::cases::{CaseStanding, Finding, findings, standing};
use crate::decisions::stage::DecisionStage;
use crate::files::run_error::RunError;
use crate::impact::Window;
use crate::records::Item;
use crate::report::table::{Cells, Table};
use crate::report::table_writer::{BATCH_ROWS, TableFolder, TableWriter};
use rayon::prelude::*;

/// One row of the table.
pub(super) type Row<'a> = (&'a Item, Finding, CaseStanding<'a>);

/// The findings of every history, with what became of each.
pub struct Cases<'a>(Vec<Vec<Row<'a>>>);

impl<'a> Cases<'a> {
    /// The findings of the histories of `stage`.
    pub fn of(stage: &DecisionStage<'a>) -> Self {
        let rule = stage.tables.conformity.decision_rule();
        let of_history = |index: usize| -> Vec<Row<'a>> {
            let history = stage.histories.get(index);
            let found = findings(&history, &rule);
            let row = |finding: Finding| {
                let became = standing(&history, finding.day, stage.closings, stage.as_of);
                (history.item, finding, became)
            };
            found.into_iter().map(row).collect()
        };
        let each = (0..stage.histories.len()).into_par_iter().map(of_history);
        Self(each.collect())
    }

    /// Those of one history, oldest first.
    pub fn of_history(&self, index: usize) -> &[Row<'a>] {
        self.0.get(index).map_or(&[], Vec::as_slice)
    }

    /// What became of the case to which work of `window` belongs: the failures in it are one, which
    /// is open while one of them is.
    pub fn of_window(&self, index: usize, window: &Window) -> Option<CaseStanding<'a>> {
        let in_window = |row: &&Row<'a>| window.found <= row.1.day && row.1.day <= window.until;
        let own = self.of_history(index).iter().filter(in_window);
        let worst = |became: &CaseStanding<'_>| match became {
            CaseStanding::Open => 3,
            CaseStanding::NotKept => 2,
            CaseStanding::Closed(_) => 1,
            CaseStanding::BeforeBook => 0,
        };
        own.map(|row| row.2).max_by_key(worst)
    }
}

/// Writes `cases.csv` and `cases.parquet`: one row a finding, in the histories' order.
///
/// # Errors
/// A file that cannot be written.
pub fn write(cases: &Cases<'_>, to: TableFolder<'_>) -> Result<(), RunError> {
    let failed = |why: polars::prelude::PolarsError| RunError::write("cases", why);
    let mut writer = TableWriter::create(to, "cases", &table(&[])).map_err(failed)?;
    let mut rows = cases.0.iter().flatten().copied();
    loop {
        let batch: Vec<Row<'_>> = rows.by_ref().take(BATCH_ROWS).collect();
        if batch.is_empty() {
            break;
        }
        writer.write(&table(&batch)).map_err(failed)?;
    }
    writer.finish().map_err(failed)
}

pub(super) fn table<'a>(rows: &'a [Row<'a>]) -> Table<'a> {
    let closed = |get: fn(&crate::decisions::cases::closings::Closing) -> &str| {
        let cell = |(_, _, became): &Row<'a>| match *became {
            CaseStanding::Closed(closing) => get(closing),
            _ => "",
        };
        Cells::Shared(rows.iter().map(cell).collect())
    };
    let closed_on = |(_, _, became): &Row<'a>| match *became {
        CaseStanding::Closed(closing) => closing.on as f64,
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
