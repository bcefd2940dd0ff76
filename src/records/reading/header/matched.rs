/*! A column that is looked for, and where the wanted columns stand in a file. */

use super::above::as_text;
use super::units_row::bare_unit;
use crate::records::cells::column::Column;
use crate::records::reading::csv::text::Split;

/// A column that is looked for: our name, and the person's own header where the
/// pipeline file states one.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wanted<'a> {
    pub name: &'static str,
    pub own: Option<&'a str>,
}

/// What is to be said of a table.
#[derive(Debug, Clone)]
pub(crate) struct Note {
    pub words: String,
    /// Place of the column that is not read, where it tells why.
    pub unread: Option<usize>,
}

/// Where each wanted column stands in one file.
#[derive(Debug, Clone, Default)]
pub(crate) struct Matched {
    /// Position in the file, in the order of the wanted columns.
    pub positions: Vec<Option<usize>>,
    /// Headers of the file.
    pub headers: Vec<String>,
    /// Units that a row below the headers states, by place in the file; empty where none does.
    pub units: Vec<String>,
    /// Loose matches, near misses, and what stands around the header.
    pub notes: Vec<Note>,
    /// Number of the last row of the header, as a spreadsheet shows it; 0 where there is none.
    pub header_row: u32,
    /// Rows around the header that are set aside.
    pub set_aside: u64,
    /// Bytes below the header, where each line of them is a row; 0 otherwise.
    pub plain_body: usize,
}

/// Longest text of a row above the table that is shown, characters.
const TITLE_SHOWN: usize = 60;

impl Matched {
    /// Says something of the table.
    pub(crate) fn note(&mut self, words: String) {
        let unread = None;
        self.notes.push(Note { words, unread });
    }

    /// Says why the column at a place is not read.
    pub(crate) fn note_unread(&mut self, place: usize, words: String) {
        let unread = Some(place);
        self.notes.push(Note { words, unread });
    }

    /// Place of a column of checks.
    pub(crate) fn place(&self, column: Column) -> Option<usize> {
        self.positions[column.index()]
    }

    /// Header of a column of checks.
    pub(crate) fn header(&self, column: Column) -> Option<&str> {
        self.headers.get(self.place(column)?).map(String::as_str)
    }

    /// True where a note tells why the column at a place is not read.
    pub(crate) fn is_told(&self, place: usize) -> bool {
        self.notes.iter().any(|note| note.unread == Some(place))
    }

    /// Places of the columns that nothing reads.
    pub(crate) fn unread(&self) -> impl Iterator<Item = usize> {
        let read = |place: &usize| self.positions.contains(&Some(*place));
        (0..self.headers.len()).filter(move |place| !read(place))
    }

    /// Takes over where the table stands in its text, and what stands around it.
    pub(crate) fn found_in(&mut self, split: &Split<'_>) {
        self.header_row = split.row;
        self.set_aside = split.above.len() as u64 + u64::from(split.units.is_some());
        if let (Some(upper), Some((last, _))) = (split.above.first(), split.above.last()) {
            let first = &upper.0;
            let title: String = as_text(upper).chars().take(TITLE_SHOWN).collect();
            let rows = match first == last {
                true => format!("row {first} stands above the table and is"),
                false => format!("rows {first} to {last} stand above the table and are"),
            };
            self.note(format!("{rows} set aside: \"{title}\""));
        }
        if let Some(units) = &split.units {
            self.note(format!("row {} states units and is set aside", split.row));
            self.units = units
                .iter()
                .map(|unit| bare_unit(unit).to_string())
                .collect();
        }
    }
}

/// As headers are compared: without blanks about them and in small letters.
pub(super) fn fold(header: &str) -> String {
    header.trim().to_lowercase()
}
