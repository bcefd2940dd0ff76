/*! CSV as text: its delimiter, its header, and its records with row numbers. */

use super::LoadError;
use super::settings::Delimiter;
use super::source::LONGEST_LINE;
use csv::{ReaderBuilder, StringRecord};

/// Records that are looked at to find the delimiter.
const SNIFFED_RECORDS: usize = 100;

/// The first record of a text and what follows it.
pub(crate) struct Split<'a> {
    pub delimiter: u8,
    pub header: Vec<String>,
    pub body: &'a str,
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
pub(crate) fn sniff(text: &str) -> u8 {
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

/// The records of a text without a quotation mark: lines cut at the delimiter, nothing copied.
pub(crate) struct PlainRecords<'a> {
    rest: &'a str,
    delimiter: u8,
    /// Number of the last record, from 1; blank lines count.
    pub row: u32,
}

impl<'a> PlainRecords<'a> {
    /// Starts at the first row of `text`, which has neither header nor quotation mark.
    pub fn new(text: &'a str, delimiter: u8) -> Self {
        Self {
            rest: text,
            delimiter,
            row: 0,
        }
    }

    /// Fills `fields` with the next record that is not blank; false at the end.
    pub fn next(&mut self, fields: &mut Vec<&'a str>) -> bool {
        while !self.rest.is_empty() {
            let line = self.line();
            self.row += 1;
            if line.is_empty() {
                continue;
            }
            split(line, self.delimiter, fields);
            if fields.len() > 1 || !fields[0].trim().is_empty() {
                return true;
            }
        }
        false
    }

    /// Takes one line off, with its break: "\n", "\r\n" or "\r".
    fn line(&mut self) -> &'a str {
        let bytes = self.rest.as_bytes();
        let Some(end) = memchr::memchr2(b'\n', b'\r', bytes) else {
            return std::mem::take(&mut self.rest);
        };
        let whole_break = usize::from(bytes[end..].starts_with(b"\r\n"));
        let line = &self.rest[..end];
        self.rest = &self.rest[end + 1 + whole_break..];
        line
    }
}

fn split<'a>(line: &'a str, delimiter: u8, fields: &mut Vec<&'a str>) {
    fields.clear();
    let mut start = 0;
    for (end, byte) in line.bytes().enumerate() {
        if byte == delimiter {
            fields.push(&line[start..end]);
            start = end + 1;
        }
    }
    fields.push(&line[start..]);
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
    use proptest::prelude::*;

    proptest! {
        /// Without quotation marks both readers see the same rows and numbers.
        #[test]
        fn plain_lines_are_what_the_general_reader_sees(text in "([ab é,;]{0,4}(\n|\r|\r\n)?){0,12}") {
            let (mut plain, mut fields) = (PlainRecords::new(&text, b','), Vec::new());
            let (mut general, mut record) = (Records::new(&text, b',', "f"), StringRecord::new());
            while general.next(&mut record).unwrap() {
                prop_assert!(plain.next(&mut fields));
                prop_assert_eq!(&fields, &record.iter().collect::<Vec<_>>());
                prop_assert_eq!(plain.row, general.row);
            }
            prop_assert!(!plain.next(&mut fields));
            prop_assert_eq!(plain.row, general.row);
        }
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
}
