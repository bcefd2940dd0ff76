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
use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::report::table_writer::TableFolder;
use rayon::prelude::*;

/// One row of the table.
pub(super) type Row<'a> = (&'a Item, Finding, CaseStanding<'a>);

/// The findings of every history, with what became of each.
pub(crate) struct Cases<'a>(Vec<Vec<Row<'a>>>);

impl<'a> Cases<'a> {
    /// The findings of the histories of `stage`.
    pub(crate) fn of(stage: &DecisionStage<'a>) -> Self {
        let rule = stage.tables.conformity.decision_rule();
        let of_history = |index: usize| -> Vec<Row<'a>> {
            let history = stage.histories.get(index);
            let found = findings(&history, &rule);
            let row = |finding: Finding| {
                let names = history.item.names();
                let became = standing(names, finding.day, stage.closings, stage.as_of);
                (history.item, finding, became)
            };
            found.into_iter().map(row).collect()
        };
        let each = (0..stage.histories.len()).into_par_iter().map(of_history);
        Self(each.collect())
    }

    /// Those of one history, oldest first.
    pub(crate) fn of_history(&self, index: usize) -> &[Row<'a>] {
        self.0.get(index).map_or(&[], Vec::as_slice)
    }

    /// What became of the case to which work of `window` belongs: the failures in it are one, which
    /// is open while one of them is.
    pub(crate) fn of_window(&self, index: usize, window: &Window) -> Option<CaseStanding<'a>> {
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
pub(crate) fn write(cases: &Cases<'_>, to: TableFolder<'_>) -> Result<(), RunError> {
    let rows: Vec<Row<'_>> = cases.0.iter().flatten().copied().collect();
    to.write_rows("cases", &rows, table)
}

pub(super) fn table<'a>(rows: &'a [Row<'a>]) -> Table<'a> {
    let closing = |(.., became): &Row<'a>| match *became {
        CaseStanding::Closed(closing) => Some(closing),
        _ => None,
    };
    RowTable::of(rows)
        .text("instrument", |(item, ..)| &item.instrument)
        .text("point", |(item, ..)| &item.point)
        .date("finding", |(_, finding, _)| finding.day)
        .about("date of the check")
        .word("found", |(_, finding, _)| finding.kind.word())
        .about("`out_of_tolerance`, `indeterminate`")
        .word("state", |(.., became)| became.word())
        .about("`open`; `closed`; `before_book`: older than `[cases] since`; `not_kept`: no book is named")
        .date("good_since", |(_, finding, _)| finding.good_since)
        .about("the last check before that conforms by the decision rule, else the last in tolerance; empty where there is none")
        .text("closed_by", |row| closing(row).map_or("", |closing| &closing.by))
        .date("closed_on", |row| closing(row).map_or(f64::NAN, |closing| closing.on as f64))
        .text("closing_action", |row| closing(row).map_or("", |closing| &closing.action))
        .text("reference", |row| closing(row).map_or("", |closing| &closing.reference))
        .done()
}
