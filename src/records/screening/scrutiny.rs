/*! What looks odd in one history, with the place that says so. */

use crate::records::accounts::Warning;
use crate::records::date;
use crate::records::history::History;

/// A history that is looked through, and the warnings so far.
pub(crate) struct Scrutiny<'a> {
    pub history: &'a History<'a>,
    pub files: &'a [String],
    pub warnings: Vec<Warning>,
}

impl Scrutiny<'_> {
    pub(crate) fn warn(&mut self, words: String) {
        self.warnings
            .push(Warning::new(self.history.item.name(), words));
    }

    /// "of 2021-03-04 (masses.csv, row 7)".
    pub(crate) fn place(&self, i: usize) -> String {
        let (file, row) = self.history.source[i];
        let name = self.files.get(file as usize).map_or("", String::as_str);
        format!("of {} ({name}, row {row})", date::iso(self.history.date[i]))
    }
}
