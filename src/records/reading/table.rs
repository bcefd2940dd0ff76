/*! A small table beside the checks (register, jobs): CSV or Parquet, by field. */

pub(crate) mod own_headers;
mod read;

use super::columnar::parquet_column::TypedColumn;
use super::csv::text_rows::TextRows;
use super::header::{Matched, Wanted};
use super::plain_file;
use crate::records::cells::field::Field;
use crate::records::cells::marks::{Marks, Seen};
use crate::records::cells::row::needed::Needed;
use crate::records::encoding::Encoding;
use crate::records::settings::words::{Delimiter, Thousands};
use crate::records::{InputFile, LoadError, Warning};

/// A column of such a table.
#[derive(Debug, Clone, Copy)]
pub(crate) struct TableColumn<'a> {
    /// Our name.
    pub name: &'static str,
    /// The person's header, where the pipeline file states one.
    pub own: Option<&'a str>,
    /// True where numbers in it are names.
    pub text: bool,
    /// True where the table makes no sense without it.
    pub needed: bool,
}

/// A table in memory.
pub(crate) struct Table {
    /// The file, for the run record.
    pub input: InputFile,
    /// Loose headers, in words.
    pub warnings: Vec<Warning>,
    /// Rows left out for their width or an open quotation mark: number, and why.
    pub ragged: Vec<(u32, String)>,
    /// True where the file itself tells that numbers have a decimal point.
    decimal_point: bool,
    matched: Matched,
    rows: Rows,
}

/// How the file of a table is written.
#[derive(Debug, Clone, Copy)]
pub(crate) struct TableFormat<'a> {
    /// Delimiter of a text.
    pub delimiter: Delimiter,
    /// Encoding of a text.
    pub encoding: Encoding,
    /// Sheet of a workbook; empty = the one that has the columns.
    pub sheet: &'a str,
    /// True where numbers have a decimal comma, as far as that is stated.
    pub decimal_comma: Option<bool>,
    /// The instruments whose rows are read of a text; all where `None`.
    pub needed: Option<&'a Needed>,
    /// Most that a workbook may unpack to, megabytes.
    pub most_unpacked_mb: u32,
    /// Rows of each sheet of a workbook that are looked at, and of a text those of its first
    /// mebibyte; all where `None`.
    pub rows: Option<u32>,
}

impl Default for TableFormat<'_> {
    fn default() -> Self {
        Self {
            delimiter: Delimiter::default(),
            encoding: Encoding::default(),
            sheet: "",
            decimal_comma: None,
            needed: None,
            most_unpacked_mb: plain_file::LARGEST_UNPACKED_MB,
            rows: None,
        }
    }
}

enum Rows {
    Csv(TextRows),
    Parquet(usize, Vec<Option<TypedColumn>>),
}

impl<'a> TableColumn<'a> {
    fn wanted(&self) -> Wanted<'a> {
        Wanted {
            name: self.name,
            own: self.own,
        }
    }
}

impl Table {
    /// Places of the file's columns that no wanted one reads, but for those without a name.
    fn unread_places(&self) -> impl Iterator<Item = usize> {
        let named = |place: &usize| !self.matched.headers[*place].trim().is_empty();
        self.matched.unread().filter(named)
    }

    /// Their headers.
    pub(crate) fn unread_headers(&self) -> Vec<&str> {
        let places = self.unread_places();
        places
            .map(|place| self.matched.headers[place].trim())
            .collect()
    }

    /// The same in one warning, but for those of which a note tells it with a mend.
    pub(crate) fn unread(&self) -> Option<Warning> {
        let untold = self
            .unread_places()
            .filter(|place| !self.matched.is_told(*place));
        let untold: Vec<&str> = untold
            .map(|place| self.matched.headers[place].trim())
            .collect();
        let words = match untold.as_slice() {
            [] => return None,
            [one] => format!("column \"{one}\" is not read"),
            several => format!("columns \"{}\" are not read", several.join("\", \"")),
        };
        Some(Warning::new(&self.input.path, words))
    }

    /// Number of rows.
    pub(crate) fn len(&self) -> usize {
        match &self.rows {
            Rows::Csv(rows) => rows.len(),
            Rows::Parquet(count, _) => *count,
        }
    }

    /// The field of a row in the column with this index in the list of columns;
    /// empty where the file lacks it.
    pub(crate) fn field(&self, row: usize, column: usize) -> Field<'_> {
        match &self.rows {
            Rows::Csv(rows) => match self.matched.positions[column] {
                Some(place) => match rows.field(row, place) {
                    Some(text) if !text.is_empty() => Field::Text(text),
                    _ => Field::Empty,
                },
                None => Field::Empty,
            },
            Rows::Parquet(_, columns) => columns[column]
                .as_ref()
                .map_or(Field::Empty, |c| c.field(row)),
        }
    }

    /// How the numbers in the columns that hold no names are written.
    ///
    /// # Errors
    /// Cells that contradict the stated decimal sign, or leave open what it is.
    pub(crate) fn marks(
        &self,
        columns: &[TableColumn<'_>],
        stated: Option<bool>,
        thousands: Thousands,
        table: &str,
    ) -> Result<Marks, LoadError> {
        let numbers: Vec<usize> = (0..columns.len()).filter(|i| !columns[*i].text).collect();
        let cells = numbers.iter().flat_map(|&column| {
            (0..self.len()).filter_map(move |row| match self.field(row, column) {
                Field::Text(text) => Some((column, self.number(row), text)),
                _ => None,
            })
        });
        let header = |column: usize| {
            let place = self.matched.positions[column];
            place.map_or(String::new(), |i| self.matched.headers[i].clone())
        };
        let known = self.decimal_point.then_some(false);
        Seen::of_cells(columns.len(), cells).marks(
            stated.or(known),
            thousands,
            &self.input.path,
            table,
            header,
        )
    }

    /// The file's header of a column; `None` where it has none.
    pub(crate) fn header(&self, column: usize) -> Option<&str> {
        let place = self.matched.positions[column]?;
        self.matched.headers.get(place).map(String::as_str)
    }

    /// True where the file has the column with this index in the list of columns.
    pub(crate) fn has(&self, column: usize) -> bool {
        self.matched.positions[column].is_some()
    }

    /// Number of the row with this index, as a spreadsheet shows it.
    pub(crate) fn number(&self, row: usize) -> u32 {
        match &self.rows {
            Rows::Csv(rows) => rows.number(row),
            Rows::Parquet(..) => self.header_row() + row as u32 + 1,
        }
    }

    /// The last row of the header.
    pub(crate) fn header_row(&self) -> u32 {
        self.matched.header_row
    }

    /// "register.csv, row 3" of the row with this index.
    pub(crate) fn place(&self, row: usize) -> String {
        format!("{}, row {}", self.input.path, self.number(row))
    }
}
