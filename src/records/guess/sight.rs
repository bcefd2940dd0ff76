/*! How much of a file a first look takes in, and which of its sheets. */

use crate::records::encoding::Encoding;

/// Rows that are looked at of one file alone.
const ROWS: usize = 20_000;

/// How a file is looked at.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sight<'a> {
    /// Days since 1970-01-01.
    pub today: f64,
    /// The sheets of a workbook that are set apart, and not looked at.
    pub apart: &'a [String],
    /// The encoding of a text where a person states it.
    pub stated: Option<Encoding>,
    /// Rows that are looked at.
    pub rows: usize,
}

/// The rows of each of so many files that are looked at: all of them as many as of one file alone, but of each enough
/// to tell what its columns mean.
pub(crate) fn rows_of_each(files: usize) -> usize {
    const FEWEST: usize = 2_000;
    (ROWS / files.max(1)).max(FEWEST)
}
