/*! From a file or a text to a table in memory. */

use super::{Rows, Table, TableColumn, TableFormat};
use crate::records::cells::row::needed::Needed;
use crate::records::reading::columnar::parquet_file;
use crate::records::reading::columnar::rows::HEADER_ROW;
use crate::records::reading::csv::records::{Next, open_reason};
use crate::records::reading::csv::text::TableText;
use crate::records::reading::csv::text_rows::TextRows;
use crate::records::reading::decoding::decode;
use crate::records::reading::guarded::{PARQUET, guarded};
use crate::records::reading::header::find_table::{Sought, find_table};
use crate::records::reading::header::{Matched, Wanted, find, match_headers, missing};
use crate::records::reading::{files, source, workbook};
use crate::records::settings::words::Delimiter;
use crate::records::{InputFile, LoadError, Warning};
use csv::StringRecord;
use std::borrow::Cow;
use std::path::Path;

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
        let text = decode(&bytes, format.encoding, shown)?;
        let text = TableText::of_file(&text, shown, format.delimiter);
        let mut table = of_text(text, columns, format.needed)?;
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
        of_text(TableText::of_file(text, shown, delimiter), columns, None)
    }
}

/// The table in a text, of whose rows some may be needed alone.
fn of_text(
    table: TableText<'_>,
    columns: &[TableColumn<'_>],
    needed: Option<&Needed>,
) -> Result<Table, LoadError> {
    let shown = table.shown;
    let instrument = columns.iter().position(|c| c.name == "instrument");
    let sought = Sought {
        lacking: &|headers| lacking(headers, columns),
        name: &|headers| instrument.and_then(|i| find(headers, &columns[i].wanted())),
    };
    let split = find_table(table, &sought)?;
    let mut matched = matched(shown, split.header.clone(), columns)?;
    matched.found_in(&split);
    let (mut rows, mut ragged) = (TextRows::default(), Vec::new());
    let width = matched.headers.len();
    let place = instrument.and_then(|i| matched.positions[i]);
    let body = match (needed, place) {
        (Some(needed), Some(place)) => needed.rows_of(split.body, split.delimiter, place),
        _ => Cow::Borrowed(split.body),
    };
    let mut records = split.records(&body).below(split.row);
    let mut record = StringRecord::new();
    loop {
        match records.next(&mut record)? {
            Next::End => break,
            Next::Open(below) => ragged.push((records.row, open_reason(below))),
            Next::Row if records.is_whole(record.len()) => {
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

/// How many columns that are needed, or that the settings name by a header of the person's own, `headers` lack: it may be
/// that only the form with the units below it has them all.
fn lacking(headers: &[String], columns: &[TableColumn<'_>]) -> usize {
    let lacks = |column: &&TableColumn<'_>| find(headers, &column.wanted()).is_none();
    columns
        .iter()
        .filter(|column| column.needed || column.own.is_some())
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
        let table = of_text(TableText::of_sheet(&sheet.text, &place), columns, None);
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
    matched.header_row = HEADER_ROW;
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
    for ((column, lacks), place) in columns.iter().zip(&wanted).zip(&matched.positions) {
        if column.needed && place.is_none() {
            let column = (lacks, column.name);
            return Err(missing(shown, &matched.headers, column, &wanted));
        }
    }
    Ok(matched)
}

fn notes(shown: &str, matched: &Matched) -> Vec<Warning> {
    matched
        .notes
        .iter()
        .map(|note| Warning::new(shown, &note.words))
        .collect()
}
