/*! A small table beside the checks (register, jobs): CSV or Parquet, by field. */

use super::csv_records::{Next, Records, open_reason};
use super::csv_text::split_header;
use super::header::{Matched, Wanted, match_headers, missing};
use super::parquet_column::TypedColumn;
use super::parquet_file;
use super::{files, source};
use crate::records::cells::field::Field;
use crate::records::cells::marks::{Marks, Seen};
use crate::records::settings::{Delimiter, Encoding, Thousands};
use crate::records::{InputFile, LoadError, Warning};
use csv::StringRecord;
use std::path::Path;

/// A column of such a table.
#[derive(Debug, Clone, Copy)]
pub struct TableColumn<'a> {
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
pub struct Table {
    /// The file, for the run record.
    pub input: InputFile,
    /// Loose headers, in words.
    pub warnings: Vec<Warning>,
    /// Rows left out for their width or an open quotation mark: number, and why.
    pub ragged: Vec<(u32, String)>,
    matched: Matched,
    rows: Rows,
}

enum Rows {
    Csv(Vec<(u32, StringRecord)>),
    Parquet(usize, Vec<Option<TypedColumn>>),
}

impl Table {
    /// Reads a whole table.
    ///
    /// # Errors
    /// An unreadable file, or a needed column missing.
    pub fn read(
        path: &Path,
        shown: &str,
        columns: &[TableColumn<'_>],
        delimiter: Delimiter,
        encoding: Encoding,
    ) -> Result<Table, LoadError> {
        if files::is_parquet(path) {
            return parquet_file::guarded(shown, || read_parquet(path, shown, columns));
        }
        let bytes = source::read(path, shown)?;
        let text = source::decode(&bytes, encoding, shown)?;
        let mut table = Self::of_text(&text, shown, columns, delimiter)?;
        table.input = source::input_file(&bytes, shown);
        Ok(table)
    }

    /// Reads the table in a CSV text that stands in memory.
    ///
    /// # Errors
    /// A needed column missing.
    pub fn of_text(
        text: &str,
        shown: &str,
        columns: &[TableColumn<'_>],
        delimiter: Delimiter,
    ) -> Result<Table, LoadError> {
        let split = split_header(text, delimiter, shown)?;
        let matched = matched(shown, split.header, columns)?;
        let (mut rows, mut ragged) = (Vec::new(), Vec::new());
        let width = matched.headers.len();
        let mut records = Records::new(split.body, split.delimiter, width, shown);
        let mut record = StringRecord::new();
        loop {
            match records.next(&mut record)? {
                Next::End => break,
                Next::Open(below) => ragged.push((records.row, open_reason(below))),
                Next::Row if record.len() == width => rows.push((records.row, record.clone())),
                Next::Row => {
                    let why = format!("{} fields, the header has {width}", record.len());
                    ragged.push((records.row, why));
                }
            }
        }
        Ok(Table {
            input: InputFile {
                path: shown.to_string(),
                ..InputFile::default()
            },
            warnings: notes(shown, &matched),
            ragged,
            matched,
            rows: Rows::Csv(rows),
        })
    }

    /// Number of rows.
    pub fn len(&self) -> usize {
        match &self.rows {
            Rows::Csv(rows) => rows.len(),
            Rows::Parquet(count, _) => *count,
        }
    }

    /// True where there is no row.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The field of a row in the column with this index in the list of columns;
    /// empty where the file lacks it.
    pub fn field(&self, row: usize, column: usize) -> Field<'_> {
        match &self.rows {
            Rows::Csv(rows) => match self.matched.positions[column] {
                Some(place) if !rows[row].1[place].is_empty() => Field::Text(&rows[row].1[place]),
                _ => Field::Empty,
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
    pub fn marks(
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
        Seen::of_cells(columns.len(), cells).marks(
            stated,
            thousands,
            &self.input.path,
            table,
            header,
        )
    }

    /// True where the file has the column with this index in the list of columns.
    pub fn has(&self, column: usize) -> bool {
        self.matched.positions[column].is_some()
    }

    /// Number of the row with this index; 1 is the first line after the header.
    pub fn number(&self, row: usize) -> u32 {
        match &self.rows {
            Rows::Csv(rows) => rows[row].0,
            Rows::Parquet(..) => row as u32 + 1,
        }
    }

    /// "register.csv, row 3" of the row with this index.
    pub fn place(&self, row: usize) -> String {
        format!("{}, row {}", self.input.path, self.number(row))
    }
}

fn read_parquet(path: &Path, shown: &str, columns: &[TableColumn<'_>]) -> Result<Table, LoadError> {
    let matched = matched(shown, parquet_file::headers(path, shown)?, columns)?;
    let wanted: Vec<(Option<&str>, bool)> = matched
        .positions
        .iter()
        .zip(columns)
        .map(|(place, column)| (place.map(|i| matched.headers[i].as_str()), column.text))
        .collect();
    let (count, typed) = parquet_file::read_columns(path, shown, &wanted)?;
    Ok(Table {
        input: source::input_of(path, shown)?,
        warnings: notes(shown, &matched),
        ragged: Vec::new(),
        rows: Rows::Parquet(count, typed),
        matched,
    })
}

fn matched(
    shown: &str,
    headers: Vec<String>,
    columns: &[TableColumn<'_>],
) -> Result<Matched, LoadError> {
    let wanted: Vec<Wanted<'_>> = columns
        .iter()
        .map(|c| Wanted {
            name: c.name,
            own: c.own,
        })
        .collect();
    let matched = match_headers(shown, headers, &wanted)?;
    for ((column, wanted), place) in columns.iter().zip(&wanted).zip(&matched.positions) {
        if column.needed && place.is_none() {
            return Err(missing(shown, &matched.headers, wanted, column.name));
        }
    }
    Ok(matched)
}

fn notes(shown: &str, matched: &Matched) -> Vec<Warning> {
    matched
        .notes
        .iter()
        .map(|note| Warning::new(shown, note))
        .collect()
}
