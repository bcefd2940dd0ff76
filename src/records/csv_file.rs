/*! CSV in: the delimiter, the header, and the rows in parallel pieces.

A file without a quotation mark can be cut at any line break, so that its
pieces are read on all cores; one with quotation marks is read in one piece,
because a line break may belong to a field.
*/

use super::LoadError;
use super::batch::{Batch, Present, text_field};
use super::column::{COLUMN_COUNT, Column};
use super::field::Field;
use super::header::{Matched, Wanted, match_headers, missing};
use super::row::Rules;
use super::settings::Delimiter;
use super::source::LONGEST_LINE;
use csv::{ReaderBuilder, StringRecord};
use rayon::prelude::*;

/// Size of a piece: large enough that every name is interned few times.
const PIECE: usize = 16 << 20;

/// Records that are looked at to find the delimiter.
const SNIFFED_RECORDS: usize = 100;

/// The first record of a text and what follows it.
pub(crate) struct Split<'a> {
    pub delimiter: u8,
    pub header: Vec<String>,
    pub body: &'a str,
}

/// What a row needs to become fields.
struct Layout<'a> {
    delimiter: u8,
    width: usize,
    positions: [Option<usize>; COLUMN_COUNT],
    present: Present,
    shown: &'a str,
}

/// Reads the rows of one file, in file order.
///
/// # Errors
/// No header, a needed column missing, a quotation mark left open.
pub(crate) fn read_rows(
    text: &str,
    shown: &str,
    rules: &Rules<'_>,
) -> Result<(Vec<Batch>, Matched), LoadError> {
    let split = split_header(text, rules.settings.delimiter, shown)?;
    let matched = match_columns(shown, split.header, rules)?;
    let positions: [Option<usize>; COLUMN_COUNT] = std::array::from_fn(|i| matched.positions[i]);
    let layout = Layout {
        delimiter: split.delimiter,
        width: matched.headers.len(),
        present: positions.map(|p| p.is_some()),
        positions,
        shown,
    };
    let batches: Result<Vec<Batch>, LoadError> = pieces(split.body)
        .into_par_iter()
        .map(|piece| read_piece(piece, &layout, rules))
        .collect();
    let mut batches = batches?;
    let mut first_row = 0;
    for batch in &mut batches {
        batch.first_row = first_row;
        first_row += batch.lines;
    }
    Ok((batches, matched))
}

/// Matches the columns of the checks table and insists on the needed ones.
pub(crate) fn match_columns(
    shown: &str,
    headers: Vec<String>,
    rules: &Rules<'_>,
) -> Result<Matched, LoadError> {
    let own = rules.settings.columns.headers();
    let wanted = Column::ALL.map(|column| Wanted {
        name: column.name(),
        own: own[column.index()],
    });
    let matched = match_headers(shown, headers, &wanted)?;
    let has = |column: Column| matched.positions[column.index()].is_some();
    for column in [Column::Instrument, Column::Date] {
        if !has(column) {
            let wanted = &wanted[column.index()];
            return Err(missing(shown, &matched.headers, wanted, wanted.name));
        }
    }
    if !has(Column::AsFound) && !has(Column::InTolerance) {
        let wanted = &wanted[Column::AsFound.index()];
        return Err(missing(shown, &matched.headers, wanted, wanted.name));
    }
    Ok(matched)
}

/// Finds the delimiter and takes the header off.
///
/// # Errors
/// A file without any text.
pub(crate) fn split_header<'a>(
    text: &'a str,
    delimiter: Delimiter,
    shown: &str,
) -> Result<Split<'a>, LoadError> {
    if text.trim().is_empty() {
        return Err(LoadError::new(
            shown,
            "the file is empty",
            "Expected a header line and one line a check.",
        ));
    }
    let delimiter = delimiter.byte().unwrap_or_else(|| sniff(text));
    let mut reader = reader(text, delimiter);
    let mut record = StringRecord::new();
    let broken = |e: csv::Error| {
        LoadError::new(
            shown,
            format!("the header cannot be read: {e}"),
            "Check the file.",
        )
    };
    reader.read_record(&mut record).map_err(broken)?;
    let mut end = reader.position().byte() as usize;
    // A reader stops between the two halves of "\r\n".
    if text.as_bytes().get(end) == Some(&b'\n') && text.as_bytes()[end - 1] == b'\r' {
        end += 1;
    }
    Ok(Split {
        delimiter,
        header: record.iter().map(str::to_string).collect(),
        body: &text[end..],
    })
}

/// The delimiter that splits most of the first records into as many fields as the header.
fn sniff(text: &str) -> u8 {
    let score = |delimiter: u8| {
        let mut records = reader(text, delimiter)
            .into_records()
            .take(SNIFFED_RECORDS)
            .flatten();
        let width = records.next().map_or(0, |header| header.len());
        let regular = records.filter(|r| r.len() == width).count();
        if width > 1 { (regular, width) } else { (0, 0) }
    };
    // The first of equals wins: comma before semicolon before tab.
    [b'\t', b';', b',']
        .into_iter()
        .max_by_key(|&d| score(d))
        .unwrap_or(b',')
}

fn reader(text: &str, delimiter: u8) -> csv::Reader<&[u8]> {
    ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(text.as_bytes())
}

/// Pieces of whole lines; one piece where a quotation mark may hold a line break.
fn pieces(body: &str) -> Vec<&str> {
    if memchr::memchr(b'"', body.as_bytes()).is_some() {
        return vec![body];
    }
    let mut pieces = Vec::new();
    let mut rest = body;
    while rest.len() > PIECE {
        let Some(line_end) = memchr::memchr(b'\n', &rest.as_bytes()[PIECE..]) else {
            break;
        };
        let (piece, after) = rest.split_at(PIECE + line_end + 1);
        pieces.push(piece);
        rest = after;
    }
    pieces.push(rest);
    pieces
}

fn read_piece(piece: &str, layout: &Layout<'_>, rules: &Rules<'_>) -> Result<Batch, LoadError> {
    let mut batch = Batch::default();
    let mut records = Records::new(piece, layout.delimiter, layout.shown);
    let mut record = StringRecord::new();
    while records.next(&mut record)? {
        batch.lines = records.row - 1;
        if record.len() == layout.width {
            let fields = layout.positions.map(|place| match place {
                Some(i) => text_field(&record[i], rules),
                None => Field::Empty,
            });
            batch.push(&fields, &layout.present, rules);
        } else {
            push_ragged(&mut batch, &record, layout);
        }
    }
    batch.lines = records.row;
    Ok(batch)
}

/// The records of a text, with their row numbers.
pub(crate) struct Records<'a> {
    text: &'a str,
    shown: &'a str,
    reader: csv::Reader<&'a [u8]>,
    /// Number of the last record, from 1; blank lines count, a quoted line break does not.
    pub row: u32,
}

impl<'a> Records<'a> {
    /// Starts at the first row of `text`, which has no header.
    pub fn new(text: &'a str, delimiter: u8, shown: &'a str) -> Self {
        Self {
            text,
            shown,
            reader: reader(text, delimiter),
            row: 0,
        }
    }

    /// Reads the next record that is not blank; false at the end.
    ///
    /// # Errors
    /// A record longer than [`LONGEST_LINE`].
    pub fn next(&mut self, record: &mut StringRecord) -> Result<bool, LoadError> {
        loop {
            let start = self.reader.position().byte() as usize;
            self.row += blank_lines(self.text.as_bytes(), start);
            let more = self.reader.read_record(record).map_err(|e| {
                LoadError::new(
                    self.shown,
                    format!("cannot be read as CSV: {e}"),
                    "Check the file.",
                )
            })?;
            if !more {
                return Ok(false);
            }
            self.row += 1;
            if record.as_slice().len() > LONGEST_LINE {
                return Err(LoadError::new(
                    format!("{}, row {}", self.shown, self.row),
                    format!("the row is longer than {LONGEST_LINE} bytes"),
                    "Is a quotation mark opened there and never closed?",
                ));
            }
            if record.len() > 1 || !record[0].trim().is_empty() {
                return Ok(true);
            }
        }
    }
}

fn push_ragged(batch: &mut Batch, record: &StringRecord, layout: &Layout<'_>) {
    let text = record
        .iter()
        .collect::<Vec<_>>()
        .join(&char::from(layout.delimiter).to_string());
    let count = |n: usize| {
        if n == 1 {
            "1 field".to_string()
        } else {
            format!("{n} fields")
        }
    };
    let mut reason = format!(
        "the row has {}, the header {}",
        count(record.len()),
        count(layout.width)
    );
    if text.contains('\n') {
        reason.push_str("; it spans several lines: is a quotation mark left open?");
    }
    batch.push_ragged(text, reason);
}

/// Blank lines from `start` on, where a record begins or the text ends.
fn blank_lines(bytes: &[u8], start: usize) -> u32 {
    let half_break = start > 0 && bytes[start - 1] == b'\r' && bytes.get(start) == Some(&b'\n');
    let mut rest = &bytes[start + usize::from(half_break)..];
    let mut count = 0;
    loop {
        rest = match rest {
            [b'\r', b'\n', after @ ..] | [b'\n' | b'\r', after @ ..] => after,
            _ => return count,
        };
        count += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::settings::ChecksSettings;

    fn rows(text: &str) -> (Vec<u32>, Vec<(u32, String)>) {
        let settings = ChecksSettings::default();
        let rules = Rules::new(&settings, 30_000.0);
        let (batches, _) = read_rows(text, "f.csv", &rules).unwrap();
        let batch = &batches[0];
        let rejects = batch
            .rejects
            .iter()
            .map(|r| (r.row, r.reason.to_string()))
            .collect();
        (batch.row.clone(), rejects)
    }

    #[test]
    fn rows_count_lines_and_quoted_breaks_stay_in_their_row() {
        let text = "instrument,date,as_found\nA,2020-01-01,1\n\nB,2020-01-01,2\n\"C\nc\",2020-01-01,3\nD,2020-01-01,4\n\n";
        assert_eq!(rows(text).0, [1, 3, 4, 5]);
        assert_eq!(rows(&text.replace('\n', "\r\n")).0, [1, 3, 4, 5]);
    }

    #[test]
    fn ragged_rows_are_rejected() {
        let (used, rejects) =
            rows("instrument,date,as_found\nA,2020-01-01\nB,2020-01-01,1,9\nC,2020-01-01,3");
        assert_eq!(used, [3]);
        assert_eq!(
            rejects[0],
            (1, "the row has 2 fields, the header 3 fields".to_string())
        );
        assert_eq!(rejects[1].0, 2);
    }

    #[test]
    fn delimiters_are_found() {
        for d in [',', ';', '\t'] {
            let text = format!("a{d}b b{d}c\n1{d}\"2,5; x\"{d}3\n");
            assert_eq!(char::from(sniff(&text)), d);
        }
        assert_eq!(
            sniff("name;value, ohm;date\nA;1,5;2020\nB;1,6;2020\n"),
            b';'
        );
    }

    #[test]
    fn missing_column_and_wrong_delimiter_are_told() {
        let settings = ChecksSettings {
            delimiter: Delimiter::Comma,
            ..Default::default()
        };
        let rules = Rules::new(&settings, 30_000.0);
        let error = read_rows(
            "instrument;date;as_found\nA;2020-01-01;1\n",
            "f.csv",
            &rules,
        );
        let text = error.unwrap_err().to_string();
        assert!(text.contains("is the delimiter right?"), "{text}");
        let error = read_rows("instrumnet,date,as_found\n", "f.csv", &rules);
        let text = error.unwrap_err().to_string();
        assert!(
            text.contains("no column \"instrument\"") && text.contains("\"instrumnet\""),
            "{text}"
        );
    }
}
