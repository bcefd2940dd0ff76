/*! A small table beside the checks (register, jobs): CSV or Parquet, by field. */

use super::columnar::parquet_column::TypedColumn;
use super::columnar::parquet_file;
use super::csv::records::{Next, Records, open_reason};
use super::csv::text_rows::TextRows;
use super::guarded::{PARQUET, guarded};
use super::header::find_table::{Sought, find_table};
use super::header::{Matched, Wanted, find, match_headers, missing};
use super::{files, plain_file, source, workbook};
use crate::records::cells::field::Field;
use crate::records::cells::marks::{Marks, Seen};
use crate::records::cells::row::needed::Needed;
use crate::records::encoding::Encoding;
use crate::records::settings::words::{Delimiter, Thousands};
use crate::records::{InputFile, LoadError, Warning};
use csv::StringRecord;
use std::borrow::Cow;
use std::path::Path;

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
    /// Reads a whole table.
    ///
    /// # Errors
    /// An unreadable file, or a needed column missing.
    pub(crate) fn read(
        path: &Path,
        shown: &str,
        columns: &[TableColumn<'_>],
        format: TableFormat<'_>,
    ) -> Result<Table, LoadError> {
        if files::is_parquet(path) {
            return guarded(shown, PARQUET, || read_parquet(path, shown, columns));
        }
        if workbook::is_workbook(path) {
            return read_sheet(path, shown, columns, format);
        }
        let bytes = match format.rows {
            Some(_) => source::begins(path, shown)?,
            None => source::read(path, shown)?,
        };
        let text = source::decode(&bytes, format.encoding, shown)?;
        let mut table = of_text(&text, shown, columns, format, false)?;
        table.input = source::input_file(&bytes, shown);
        Ok(table)
    }

    /// Reads the table in a CSV text that stands in memory.
    ///
    /// # Errors
    /// A needed column missing.
    pub(crate) fn of_text(
        text: &str,
        shown: &str,
        columns: &[TableColumn<'_>],
        delimiter: Delimiter,
    ) -> Result<Table, LoadError> {
        let format = TableFormat {
            delimiter,
            ..TableFormat::default()
        };
        of_text(text, shown, columns, format, false)
    }

    /// Columns of the file that no wanted one reads, in one warning.
    pub(crate) fn unread(&self) -> Option<Warning> {
        let read = |place: &usize| self.matched.positions.contains(&Some(*place));
        let unread = (0..self.matched.headers.len()).filter(|place| !read(place));
        let names: Vec<&str> = unread
            .map(|place| self.matched.headers[place].trim())
            .filter(|name| !name.is_empty())
            .collect();
        let words = match names.as_slice() {
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

/// The table in a text, which may have been made from a sheet.
fn of_text(
    text: &str,
    shown: &str,
    columns: &[TableColumn<'_>],
    format: TableFormat<'_>,
    of_sheet: bool,
) -> Result<Table, LoadError> {
    let instrument = columns.iter().position(|c| c.name == "instrument");
    let sought = Sought {
        lacking: &|headers| lacking(headers, columns),
        name: &|headers| instrument.and_then(|i| find(headers, &columns[i].wanted())),
    };
    let mut split = find_table(text, format.delimiter, shown, &sought)?;
    let mut matched = matched(shown, std::mem::take(&mut split.header), columns)?;
    matched.found_in(&split);
    let (mut rows, mut ragged) = (TextRows::default(), Vec::new());
    let width = matched.headers.len();
    let place = instrument.and_then(|i| matched.positions[i]);
    let body = match (format.needed, place) {
        (Some(needed), Some(place)) => needed.rows_of(split.body, split.delimiter, place),
        _ => Cow::Borrowed(split.body),
    };
    let records = Records::new(&body, split.delimiter, width, shown);
    let mut records = records.below(split.row).of_sheet(of_sheet);
    let mut record = StringRecord::new();
    loop {
        match records.next(&mut record)? {
            Next::End => break,
            Next::Open(below) => ragged.push((records.row, open_reason(below))),
            Next::Row if of_sheet || record.len() == width => {
                rows.push(records.row, &record);
            }
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
        decimal_point: false,
        matched,
        rows: Rows::Csv(rows),
    })
}

/// How many needed columns `headers` lack.
fn lacking(headers: &[String], columns: &[TableColumn<'_>]) -> usize {
    let lacks = |column: &&TableColumn<'_>| find(headers, &column.wanted()).is_none();
    columns
        .iter()
        .filter(|column| column.needed)
        .filter(lacks)
        .count()
}

/// The sheet of a workbook that `sheet` names, else the only one that has the columns.
fn read_sheet(
    path: &Path,
    shown: &str,
    columns: &[TableColumn<'_>],
    format: TableFormat<'_>,
) -> Result<Table, LoadError> {
    let bytes = workbook::bytes(path, shown)?;
    let named: &[String] = match format.sheet {
        "" => &[],
        name => &[name.to_string()],
    };
    let wanted = workbook::Wanted {
        sheets: named,
        comma: format.decimal_comma == Some(true),
        most_mb: format.most_unpacked_mb,
        rows: format.rows,
    };
    let book = workbook::read(&bytes, shown, wanted)?;
    let read = book.sheets.iter().map(|sheet| {
        let place = book.place(shown, sheet);
        let comma = TableFormat {
            delimiter: Delimiter::Comma,
            ..TableFormat::default()
        };
        let table = of_text(&sheet.text, &place, columns, comma, true);
        table.map(|mut table| {
            let notes = sheet.notes.iter().map(|note| Warning::new(&place, note));
            table.warnings.extend(notes);
            table.decimal_point = !sheet.texts_leave_open;
            (sheet, table)
        })
    });
    let (fitting, others): (Vec<_>, Vec<_>) = read.partition(Result::is_ok);
    let mut fitting = fitting.into_iter().flatten();
    match (fitting.next(), fitting.next()) {
        (Some((_, mut table)), None) => {
            table.input = source::input_file(&bytes, shown);
            Ok(table)
        }
        (Some((one, _)), Some((two, _))) => Err(LoadError::new(
            shown,
            format!(
                "the sheets \"{}\" and \"{}\" both have the columns",
                one.name, two.name
            ),
            "Name the one that is meant: sheet = \"…\".",
        )),
        (None, _) => Err(match others.into_iter().find_map(Result::err) {
            Some(why) => why,
            None => book.nothing(shown),
        }),
    }
}

fn read_parquet(path: &Path, shown: &str, columns: &[TableColumn<'_>]) -> Result<Table, LoadError> {
    let mut matched = matched(shown, parquet_file::headers(path, shown)?, columns)?;
    matched.header_row = parquet_file::HEADER_ROW;
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
        decimal_point: false,
        rows: Rows::Parquet(count, typed),
        matched,
    })
}

fn matched(
    shown: &str,
    headers: Vec<String>,
    columns: &[TableColumn<'_>],
) -> Result<Matched, LoadError> {
    let wanted: Vec<Wanted<'_>> = columns.iter().map(TableColumn::wanted).collect();
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
