/*! Rows that count by their outcome or event alone, since their values cannot be used. */

use super::cells::limits::open::OpenCell;
use crate::words::and_more;
use std::borrow::Cow;
use std::sync::Arc;

/// Such rows of one file and one cause; each failure by itself.
#[derive(Debug, Clone)]
pub struct Valueless {
    /// The table, and the first of the rows as a spreadsheet shows it.
    pub(crate) file: Arc<str>,
    pub(crate) row: u32,
    /// Header of the column at fault, and what stands there.
    pub(crate) column: Arc<str>,
    pub(crate) value: String,
    /// Why the values cannot be used.
    pub(crate) reason: Cow<'static, str>,
    /// What a person must say before they can, where that is all.
    pub(crate) open: Option<OpenCell>,
    /// What counts: "pass", "failure, adjusted".
    pub(crate) what: String,
    /// How many rows they are.
    pub(crate) rows: usize,
}

impl Valueless {
    /// Where the first of them stands.
    pub(crate) fn place(&self) -> String {
        format!("{}, row {}", self.file, self.row)
    }

    /// Why, and what counts, in words.
    pub(crate) fn words(&self) -> String {
        format!(
            "column \"{}\", \"{}\": {}; the {} of this row{} counts without its values",
            self.column,
            self.value,
            self.reason,
            self.what,
            and_more(self.rows - 1)
        )
    }
}
