/*! Rows of one CSV file into another of the same kind, by their headers, whole or not at all. */

use super::check::{AppendError, NoPlace};
use super::check_in::{append_with, encoded, text_of};
use super::record_table::joined;
use crate::records::LoadError;
use crate::records::encoding::Encoding;
use crate::records::reading::csv::records::{Next, open_reason, refuse_open};
use crate::records::reading::csv::text::{TableText, split_header};
use crate::records::reading::header::{Wanted, match_headers};
use crate::records::reading::table::TableColumn;
use crate::records::reading::{files, source, workbook};
use crate::records::settings::words::Delimiter;
use csv::StringRecord;
use std::collections::HashMap;
use std::path::Path;

/// How both files are written, and what tells their rows apart.
#[derive(Debug, Clone, Copy)]
pub(crate) struct RowsFormat<'a> {
    /// Our columns, with the headers that the files have for them.
    pub columns: &'a [TableColumn<'a>],
    /// Columns that together name a row, instrument and date among them.
    pub key: &'a [&'static str],
    /// Delimiter of both.
    pub delimiter: Delimiter,
    /// Encoding of both.
    pub encoding: Encoding,
}

/// A CSV text: its delimiter, its headers under our names where they are ours, its rows.
struct Rows {
    delimiter: u8,
    headers: Vec<String>,
    names: Vec<String>,
    rows: Vec<(u32, StringRecord)>,
}

impl Rows {
    fn of(text: &str, file: &str, format: &RowsFormat<'_>) -> Result<Self, LoadError> {
        let split = split_header(TableText::of_file(text, file, format.delimiter))?;
        let wanted = format.columns.iter().map(|column| Wanted {
            name: column.name,
            own: column.own,
        });
        let wanted: Vec<Wanted<'_>> = wanted.collect();
        let matched = match_headers(file, split.header.clone(), &wanted)?;
        let mut names = matched.headers.clone();
        for (column, place) in format.columns.iter().zip(&matched.positions) {
            if let Some(place) = *place {
                names[place] = column.name.to_string();
            }
        }
        let mut rows = Vec::new();
        let mut records = split.records(split.body).below(split.row);
        let mut record = StringRecord::new();
        loop {
            match records.next(&mut record)? {
                Next::End => break,
                Next::Row => rows.push((records.row, record.clone())),
                Next::Open(below) => {
                    let place = format!("{file}, row {}", records.row);
                    return Err(LoadError::new(place, open_reason(below), ""));
                }
            }
        }
        refuse_open(text, split.delimiter)
            .map_err(|what| LoadError::new(file, what, "Nothing is added before that."))?;
        Ok(Self {
            delimiter: split.delimiter,
            headers: matched.headers,
            names,
            rows,
        })
    }

    fn cell<'a>(&self, row: &'a StringRecord, name: &str) -> &'a str {
        let place = self.names.iter().position(|n| n == name);
        place.and_then(|i| row.get(i)).unwrap_or("").trim()
    }

    fn key<'a>(&self, row: &'a StringRecord, format: &RowsFormat<'_>) -> Vec<&'a str> {
        format.key.iter().map(|name| self.cell(row, name)).collect()
    }
}

/// Appends the rows of the CSV file `from` to that at `path`, which is made where there is none.
/// Cells are copied as they stand; columns of `path` that `from` lacks stay empty.
///
/// # Errors
/// A row that is there already, a column that states something and is not there, a file that is
/// no such table, a disk that refuses. `path` is untouched then.
pub(crate) fn append_rows(
    path: &Path,
    from: &Path,
    format: &RowsFormat<'_>,
) -> Result<(), AppendError> {
    append_with(path, |old, file| {
        let unusable = |what: String| AppendError::unusable(file, what);
        let no_place = |why: NoPlace| AppendError::unusable(file, why);
        let shown = from.display().to_string();
        if files::is_parquet(from) || workbook::is_workbook(from) {
            let words = format!("{shown} is Parquet or a workbook; give the rows as CSV");
            return Err(unusable(words));
        }
        let bytes = source::read(from, &shown).map_err(|e| unusable(e.to_string()))?;
        let new = text_of(&bytes, format.encoding, &shown).map_err(no_place)?;
        let new = Rows::of(&new, &shown, format).map_err(|e| unusable(e.to_string()))?;
        let text = text_of(old, format.encoding, file).map_err(no_place)?;
        let added = match text.trim().is_empty() {
            true => lines(&new, None, "\n").map_err(no_place)?,
            false => {
                let there = Rows::of(&text, file, format).map_err(|e| unusable(e.what))?;
                refuse_known(&new, &there, format, file)?;
                let line_end = if text.contains("\r\n") { "\r\n" } else { "\n" };
                let start = if text.ends_with('\n') { "" } else { line_end };
                start.to_string() + &lines(&new, Some(&there), line_end).map_err(no_place)?
            }
        };
        encoded(&added, format.encoding.of(old)).map_err(no_place)
    })
}

fn refuse_known(
    new: &Rows,
    there: &Rows,
    format: &RowsFormat<'_>,
    file: &str,
) -> Result<(), AppendError> {
    let known: HashMap<Vec<&str>, u32> = there
        .rows
        .iter()
        .map(|(number, row)| (there.key(row, format), *number))
        .collect();
    for (_, row) in &new.rows {
        if let Some(number) = known.get(&new.key(row, format)) {
            return Err(AppendError::Duplicate {
                file: file.to_string(),
                instrument: new.cell(row, "instrument").to_string(),
                point: new.cell(row, "point").to_string(),
                date: new.cell(row, "date").to_string(),
                row: *number as usize,
            });
        }
    }
    Ok(())
}

/// The rows of `new` as lines of `there`; with their own header where there is none yet.
fn lines(new: &Rows, there: Option<&Rows>, line_end: &str) -> Result<String, NoPlace> {
    let (delimiter, names) = there.map_or((new.delimiter, &new.names), |t| (t.delimiter, &t.names));
    let places: Vec<Option<usize>> = new
        .names
        .iter()
        .map(|name| names.iter().position(|n| n == name))
        .collect();
    let mut text = String::new();
    if there.is_none() {
        text += &(joined(&new.headers, delimiter)? + line_end);
    }
    for (number, row) in &new.rows {
        let mut cells = vec![String::new(); names.len()];
        for (i, cell) in row.iter().enumerate() {
            match places.get(i).copied().flatten() {
                Some(place) => cells[place] = cell.to_string(),
                None if cell.trim().is_empty() => {}
                None => {
                    let name = new
                        .headers
                        .get(i)
                        .map_or("a field too many", String::as_str);
                    return Err(NoPlace::ColumnOfRow {
                        row: *number,
                        name: name.to_string(),
                        cell: cell.to_string(),
                    });
                }
            }
        }
        text += &(joined(&cells, delimiter)? + line_end);
    }
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    /// What stands in a file with `old` after the rows of `new` were added; the error's words.
    fn appended(old: &str, new: &str) -> (Result<(), String>, String) {
        let folder = tempfile::tempdir().unwrap();
        let (path, from) = (folder.path().join("all.csv"), folder.path().join("new.csv"));
        if !old.is_empty() {
            fs::write(&path, old).unwrap();
        }
        fs::write(&from, new).unwrap();
        let column = |name, own| TableColumn {
            name,
            own,
            text: true,
            needed: true,
        };
        let columns = [
            column("instrument", Some("Nr")),
            column("date", None),
            column("ratio", None),
        ];
        let format = RowsFormat {
            columns: &columns,
            key: &["instrument", "date"],
            delimiter: Delimiter::Auto,
            encoding: Encoding::Utf8,
        };
        let done = append_rows(&path, &from, &format).map_err(|e| e.to_string());
        (done, fs::read_to_string(&path).unwrap_or_default())
    }

    #[test]
    fn rows_go_under_their_headers_and_own_columns_stay() {
        let old = "owner;date;Nr;ratio\r\nme;2026-01-01;A;0.25";
        let (done, text) = appended(old, "ratio,date,Nr\n0.26,2026-01-02,\"A\"\n");
        assert_eq!(done, Ok(()));
        assert_eq!(text, format!("{old}\r\n;2026-01-02;A;0.26\r\n"));
        let (done, text) = appended("", "ratio,date,Nr\n0.26,2026-01-02,A");
        assert_eq!(done, Ok(()));
        assert_eq!(text, "ratio,date,Nr\n0.26,2026-01-02,A\n");
    }

    #[test]
    fn known_rows_and_columns_without_a_place_are_refused() {
        let old = "date,Nr,ratio\n2026-01-01,A,0.25\n";
        let (done, text) = appended(old, "ratio,date,Nr\n1,2026-01-02,A\n1,2026-01-01,A\n");
        let words = done.unwrap_err();
        says!(words, "A of 2026-01-01 is recorded already (row 2)");
        assert_eq!(text, old);
        let (done, text) = appended(
            old,
            "ratio,date,Nr,note\n1,2026-01-02,A,\n1,2026-01-03,A,cold\n",
        );
        let words = done.unwrap_err();
        says!(words, "row 3 states note (cold)");
        assert_eq!(text, old);
        let (done, _) = appended(old, "");
        says!(done.unwrap_err(), "empty");
    }
}
