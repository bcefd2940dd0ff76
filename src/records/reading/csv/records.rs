/*! The records of a CSV text with quotation marks, with their row numbers.

A quotation mark that is opened and never closed makes the rows below it part of
one field. Where those lines read as rows of their own, the line with the mark is
set aside, and reading goes on at the line below it.
*/

use super::text::{Split, alone, blank_lines, lines, reader};
use crate::records::LoadError;
use crate::records::reading::source::LONGEST_LINE;
use csv::StringRecord;

/// What [`Records::next`] came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Next {
    /// A record.
    Row,
    /// A line whose quotation mark would make this many lines below it part of one field;
    /// the record holds its fields with the mark, and the next line is read as a row.
    Open(usize),
    /// The end of the text.
    End,
}

/// Why a line that [`Next::Open`] found cannot be used.
pub(crate) fn open_reason(below: usize) -> String {
    let lines = match below {
        1 => "the line below it".to_string(),
        n => format!("the {n} lines below it"),
    };
    format!(
        "a quotation mark is opened here and would take {lines} into one field; they are read as rows of their own: close the mark, or take it out"
    )
}

impl<'a> Split<'a> {
    /// The records of `body`, which stands below the header, numbered from there on.
    pub(crate) fn records(&'a self, body: &'a str) -> Records<'a> {
        Records {
            of_sheet: self.of_sheet,
            ..Records::new(body, self.delimiter, self.header.len(), self.shown)
        }
    }
}

/// The records of a text, with their row numbers.
pub(crate) struct Records<'a> {
    text: &'a str,
    /// What messages call the text.
    pub shown: &'a str,
    delimiter: u8,
    /// Fields of the header.
    width: usize,
    /// Tells whether a record of the header's width is a row rather than words.
    is_row: &'a dyn Fn(&StringRecord) -> bool,
    /// Where the reader started in the text.
    base: usize,
    reader: csv::Reader<&'a [u8]>,
    /// True for a text that was made from a sheet: its marks are closed, its rows of any length.
    of_sheet: bool,
    /// Number of the last record, from 1; blank lines count, a quoted line break does not.
    pub row: u32,
}

impl<'a> Records<'a> {
    /// Starts at the first row of `text`, which follows a header of `width` fields.
    pub(crate) fn new(text: &'a str, delimiter: u8, width: usize, shown: &'a str) -> Self {
        Self {
            text,
            shown,
            delimiter,
            width,
            is_row: &|_| true,
            base: 0,
            reader: reader(text, delimiter),
            of_sheet: false,
            row: 0,
        }
    }

    /// The same, where rows are numbered on from the `row` above them.
    pub(crate) fn below(self, row: u32) -> Self {
        Self { row, ..self }
    }

    /// True for so many fields as a row of the table has.
    pub(crate) fn is_whole(&self, fields: usize) -> bool {
        self.of_sheet || fields == self.width
    }

    /// The same, where `is_row` tells rows from words of a field that holds line ends.
    pub(crate) fn telling(self, is_row: &'a dyn Fn(&StringRecord) -> bool) -> Self {
        Self { is_row, ..self }
    }

    /// Reads the next record that is not blank.
    ///
    /// # Errors
    /// A record longer than [`LONGEST_LINE`].
    pub(crate) fn next(&mut self, record: &mut StringRecord) -> Result<Next, LoadError> {
        loop {
            let end_of_last = self.position();
            let (blank, start) = blank_lines(self.text.as_bytes(), end_of_last);
            self.row += blank;
            let more = self.reader.read_record(record).map_err(|e| {
                LoadError::new(
                    self.shown,
                    format!("cannot be read as CSV: {e}"),
                    "Check the file.",
                )
            })?;
            if !more {
                return Ok(Next::End);
            }
            self.row += 1;
            if !self.of_sheet
                && let Some(below) = self.rows_inside(start)
            {
                self.go_on_below(start, record);
                return Ok(Next::Open(below));
            }
            if !self.of_sheet && record.as_slice().len() > LONGEST_LINE {
                return Err(LoadError::new(
                    format!("{}, row {}", self.shown, self.row),
                    format!("the row is longer than {LONGEST_LINE} bytes"),
                    "Is a quotation mark opened there and never closed?",
                ));
            }
            if record.iter().any(|field| !field.trim().is_empty()) {
                return Ok(Next::Row);
            }
        }
    }

    fn position(&self) -> usize {
        self.base + self.reader.position().byte() as usize
    }

    /// Lines below the first of the record from `start` to here, where one of them is a row;
    /// `None` for a record of one line, or of words.
    fn rows_inside(&self, start: usize) -> Option<usize> {
        let text = self.text.get(start..self.position())?.trim_end();
        memchr::memchr2(b'\n', b'\r', text.as_bytes())?;
        let mut below = lines(text);
        let first = below.next()?.split(char::from(self.delimiter)).count();
        let row = |line: &str| {
            let record = alone(line, self.delimiter);
            record.is_some_and(|r| r.len() == self.width && (self.is_row)(&r))
        };
        (first >= self.width && below.any(row)).then(|| lines(text).count() - 1)
    }

    /// Takes the line at `start` as it stands and starts again below it.
    fn go_on_below(&mut self, start: usize, record: &mut StringRecord) {
        let rest = &self.text[start..];
        let end = memchr::memchr2(b'\n', b'\r', rest.as_bytes()).unwrap_or(rest.len());
        *record = rest[..end].split(char::from(self.delimiter)).collect();
        let whole_break = if rest[end..].starts_with("\r\n") {
            2
        } else {
            1
        };
        self.base = (start + end + whole_break).min(self.text.len());
        self.reader = reader(&self.text[self.base..], self.delimiter);
    }
}

/// A quotation mark that nothing closes, in this row; 0 is the header.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error(
    "the quotation mark opened in {} is never closed, and a new row would become part of its field; close it, or take it out",
    match .0 {
        0 => "the header".to_string(),
        row => format!("row {row}"),
    }
)]
pub(crate) struct OpenQuote(usize);

/// Refuses a file whose last field is still open: what is added would be lost in it.
pub(crate) fn refuse_open(text: &str, delimiter: u8) -> Result<(), OpenQuote> {
    match open_quote(text, delimiter) {
        None => Ok(()),
        Some(row) => Err(OpenQuote(row)),
    }
}

/// Row in which a quotation mark is opened that nothing closes; row 1 is the header.
fn open_quote(text: &str, delimiter: u8) -> Option<usize> {
    const PROBE: &str = "probe";
    // A line put behind an open mark belongs to the last field.
    let probed = format!("{text}\n{PROBE}");
    let (mut row, mut last) = (0, StringRecord::new());
    for record in reader(&probed, delimiter).into_records().flatten() {
        (row, last) = (row + 1, record);
    }
    (last.get(0) != Some(PROBE)).then_some(row)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_open_mark_takes_its_line_and_no_other() {
        let text = "A,1,\"x\n\nB,2,y\r\nC,3,\"z\"\nD,4,\"two\nlines\"\n\"E\ne\",5,\n";
        let mut records = Records::new(text, b',', 3, "f");
        let (mut record, mut seen) = (StringRecord::new(), Vec::new());
        loop {
            match records.next(&mut record).unwrap() {
                Next::End => break,
                next => seen.push((records.row, record[0].to_string(), next)),
            }
        }
        let expected = [
            (1, "A", Next::Open(2)),
            (3, "B", Next::Row),
            (4, "C", Next::Row),
            (5, "D", Next::Row),
            (6, "E\ne", Next::Row),
        ];
        assert_eq!(
            seen,
            expected.map(|(n, name, next)| (n, name.to_string(), next))
        );
    }

    #[test]
    fn an_open_mark_at_the_end_is_told() {
        assert_eq!(open_quote("a,b\n1,\"2\"\n\"x\ny\",3\n", b','), None);
        assert_eq!(open_quote("a,b\n1,2\n3,\"4\n5,6\n", b','), Some(3));
        assert_eq!(open_quote("a,b\n", b','), None);
    }
}
