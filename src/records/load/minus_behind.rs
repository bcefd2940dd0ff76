/*! What is told of numbers whose minus stands behind them. */

use crate::records::Warning;
use crate::records::cells::batch::Batch;
use crate::records::reading::header::Matched;
use crate::words::{agreeing, count};

/// Such numbers of the file `shown`; `None` where there are none.
pub(super) fn told(shown: &str, batches: &[Batch], matched: &Matched) -> Option<Warning> {
    let batches = || batches.iter();
    let (first_row, (row, column, text)) = batches().find_map(|batch| {
        let first = batch.minus_behind.first.as_ref()?;
        Some((batch.first_row, first))
    })?;
    let cells: usize = batches().map(|batch| batch.minus_behind.cells).sum();
    let header = matched.header(*column);
    let words = format!(
        "{} {} the minus behind the digits, as some programs print it, and {} read as less than 0 (row {}, \"{}\": \"{text}\")",
        count(cells, "number"),
        agreeing(cells, "has", "have"),
        agreeing(cells, "is", "are"),
        first_row + row,
        header.unwrap_or(column.name()),
    );
    Some(Warning::new(shown, words))
}
