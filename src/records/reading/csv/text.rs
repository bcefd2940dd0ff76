/*! CSV as text: its delimiter, its header, and records without quotation marks. */

use crate::records::LoadError;
use crate::records::cells::number::Number;
use crate::records::reading::header::above::Above;
use crate::records::settings::words::Delimiter;
use csv::{ReaderBuilder, StringRecord};

/// Records that are looked at to find the delimiter.
const SNIFFED_RECORDS: usize = 100;

/// A text that may hold a table, and how it is written.
#[derive(Debug, Clone, Copy)]
pub(crate) struct TableText<'a> {
    pub text: &'a str,
    /// What messages call it.
    pub shown: &'a str,
    /// What stands between its fields.
    pub delimiter: Delimiter,
    /// True where it was made from a sheet: its quotation marks are closed, and its rows end at
    /// their last filled cell.
    pub of_sheet: bool,
}

impl<'a> TableText<'a> {
    /// The text of a file.
    pub(crate) fn of_file(text: &'a str, shown: &'a str, delimiter: Delimiter) -> Self {
        Self {
            text,
            shown,
            delimiter,
            of_sheet: false,
        }
    }

    /// A text that was made from a sheet.
    pub(crate) fn of_sheet(text: &'a str, shown: &'a str) -> Self {
        Self {
            of_sheet: true,
            ..Self::of_file(text, shown, Delimiter::Comma)
        }
    }
}

/// A text, cut below its header.
#[derive(Clone)]
pub(crate) struct Split<'a> {
    /// What messages call it.
    pub shown: &'a str,
    /// True where it was made from a sheet.
    pub of_sheet: bool,
    pub delimiter: u8,
    pub header: Vec<String>,
    pub body: &'a str,
    /// Number of the last row of the header, as a spreadsheet shows it.
    pub row: u32,
    /// Rows above the header that are no part of the table.
    pub above: Vec<Above>,
    /// What a row of units below the header states.
    pub units: Option<Vec<String>>,
}

/// Finds the delimiter and takes the header off.
///
/// # Errors
/// A file without any text.
pub(crate) fn split_header(table: TableText<'_>) -> Result<Split<'_>, LoadError> {
    let TableText { text, shown, .. } = table;
    if text.trim().is_empty() {
        return Err(LoadError::new(
            shown,
            "the file is empty",
            "Expected a header line and one line a check.",
        ));
    }
    let delimiter = table.delimiter.byte();
    let delimiter = delimiter.unwrap_or_else(|| sniff(text));
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
    if let Some(line) = data_in_header(&text[..end], delimiter) {
        return Err(LoadError::new(
            format!("{shown}, line 1"),
            format!(
                "a quotation mark is opened in the header and runs on over line {line}, which holds data"
            ),
            "Close the quotation mark, or take it out.",
        ));
    }
    Ok(Split {
        shown,
        of_sheet: table.of_sheet,
        delimiter,
        header: record.iter().map(str::to_string).collect(),
        body: &text[end..],
        row: blank_lines(text.as_bytes(), 0).0 + 1,
        above: Vec::new(),
        units: None,
    })
}

/// Blank lines from `start` on, where a record begins or the text ends, and their end.
pub(crate) fn blank_lines(bytes: &[u8], start: usize) -> (u32, usize) {
    let half_break = start > 0 && bytes[start - 1] == b'\r' && bytes.get(start) == Some(&b'\n');
    let mut rest = &bytes[start + usize::from(half_break)..];
    let mut count = 0;
    loop {
        rest = match rest {
            [b'\r', b'\n', after @ ..] | [b'\n' | b'\r', after @ ..] => after,
            _ => return (count, bytes.len() - rest.len()),
        };
        count += 1;
    }
}

/// What may stand between fields.
pub(crate) const DELIMITERS: [u8; 4] = [b',', b';', b'\t', b'|'];

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
    // The first of equals wins: comma before semicolon, tab and bar.
    DELIMITERS
        .into_iter()
        .rev()
        .max_by_key(|&d| score(d))
        .unwrap_or(b',')
}

pub(crate) fn reader(text: &str, delimiter: u8) -> csv::Reader<&[u8]> {
    ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(text.as_bytes())
}

/// Number, as an editor counts, of the first line of a header's text below its first that
/// has as many fields as the first and a number among them.
fn data_in_header(header: &str, delimiter: u8) -> Option<usize> {
    let mut lines = lines(header);
    let width = lines.next()?.split(char::from(delimiter)).count();
    let data = |line: &str| {
        let record = alone(line, delimiter);
        let number = |field: &str| {
            Number::parse(field.trim(), false).is_ok() || Number::parse(field.trim(), true).is_ok()
        };
        record.is_some_and(|r| r.len() == width && r.iter().any(number))
    };
    lines.position(data).map(|below| below + 2)
}

/// The lines of a text, blank ones left out.
pub(crate) fn lines(text: &str) -> impl Iterator<Item = &str> {
    text.split(['\n', '\r']).filter(|line| !line.is_empty())
}

/// The fields of one line as a record of its own.
pub(crate) fn alone(line: &str, delimiter: u8) -> Option<StringRecord> {
    reader(line, delimiter).into_records().next()?.ok()
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
    pub(crate) fn new(text: &'a str, delimiter: u8) -> Self {
        Self {
            rest: text,
            delimiter,
            row: 0,
        }
    }

    /// Fills `fields` with the next record that is not blank; false at the end.
    pub(crate) fn next(&mut self, fields: &mut Vec<&'a str>) -> bool {
        while !self.rest.is_empty() {
            // Of a text of which a part is read, most lines are blank.
            if let Some(rest) = self.rest.strip_prefix('\n') {
                self.rest = rest;
                self.row += 1;
                continue;
            }
            let line = self.line();
            self.row += 1;
            if line.is_empty() {
                continue;
            }
            split(line, self.delimiter, fields);
            if fields.iter().any(|field| !field.trim().is_empty()) {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::property_cases::usual;
    use crate::records::reading::csv::records::{Next, Records};
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(usual())]

        /// Without quotation marks both readers see the same rows and numbers.
        #[test]
        fn plain_lines_are_what_the_general_reader_sees(text in "([ab é,;]{0,4}(\n|\r|\r\n)?){0,12}") {
            let (mut plain, mut fields) = (PlainRecords::new(&text, b','), Vec::new());
            let (mut general, mut record) = (Records::new(&text, b',', 9, "f"), StringRecord::new());
            while general.next(&mut record).unwrap() == Next::Row {
                prop_assert!(plain.next(&mut fields));
                prop_assert_eq!(&fields, &record.iter().collect::<Vec<_>>());
                prop_assert_eq!(plain.row, general.row);
            }
            prop_assert!(!plain.next(&mut fields));
            prop_assert_eq!(plain.row, general.row);
        }
    }

    #[test]
    fn a_header_that_takes_data_in_is_refused_and_a_wrapped_one_is_not() {
        let refused = split_header(TableText::of_file(
            "a,b,\"c\nX,1,2\nY,3,\"z\"\n",
            "f",
            Delimiter::Auto,
        ));
        let words = refused.err().map(|e| e.to_string()).unwrap_or_default();
        says!(words, "line 1: a quotation mark is opened in the header");
        let wrapped = split_header(TableText::of_file(
            "a,\"b\n(mm)\",c\nX,1,2\n",
            "f",
            Delimiter::Auto,
        ))
        .unwrap();
        assert_eq!(wrapped.header, ["a", "b\n(mm)", "c"]);
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
