/*! Where the table stands in a text: under lines that are none, with a header of one row or
two, and a row of units below it.

A row is the header where it has the columns that are looked for; nothing is guessed here.
Rows are numbered as a spreadsheet shows them.
*/

use super::above::Above;
use super::table_above;
use super::two_rows::{header_forms, without_repeats};
use super::units_row::is_units_row;
use crate::records::LoadError;
use crate::records::reading::csv::text::{
    DELIMITERS, Split, TableText, blank_lines, reader, sniff, split_header,
};
use csv::StringRecord;

/// Rows among which the header is looked for.
const SEARCHED: usize = 60;

/// A row of a text, with its number and where it ends.
struct Row {
    number: u32,
    fields: Vec<String>,
    end: usize,
}

/// What is looked for in a row that may be the header.
pub(crate) struct Sought<'a> {
    /// How many of the needed columns it lacks.
    pub lacking: &'a dyn Fn(&[String]) -> usize,
    /// Where it has the names of the items.
    pub name: &'a dyn Fn(&[String]) -> Option<usize>,
}

/// The table whose header lacks none of the columns that are looked for; where every row
/// lacks some, the first that lacks the fewest.
///
/// # Errors
/// As [`split_header`], and another table of checks above it.
pub(crate) fn find_table<'a>(
    table: TableText<'a>,
    sought: &Sought<'_>,
) -> Result<Split<'a>, LoadError> {
    let mut best = split_header(table)?;
    let mut fewest = (sought.lacking)(&best.header);
    if fewest > 0 {
        for split in others(table, sought.name) {
            let lacks = (sought.lacking)(&split.header);
            if lacks < fewest {
                (best, fewest) = (split, lacks);
            }
            if fewest == 0 {
                break;
            }
        }
    }
    table_above::refuse(table.shown, &best.above, &best.header)?;
    Ok(with_units(table.text, best, sought.name))
}

/// The table whose header has the most words, as `words` counts them; the first row where no
/// other has more.
///
/// # Errors
/// As [`split_header`].
pub(crate) fn find_by_words<'a>(
    table: TableText<'a>,
    words: &dyn Fn(&[String]) -> usize,
    name: &dyn Fn(&[String]) -> Option<usize>,
) -> Result<Split<'a>, LoadError> {
    let mut best = split_header(table)?;
    let mut most = words(&best.header);
    for split in others(table, name) {
        let has = words(&split.header);
        // Of equals, the header that leaves no second row of its own below it.
        let longer = split.above.len() == best.above.len() && split.row > best.row;
        // A decimal comma in a line of words splits it, and few rows of the table.
        let regular =
            || split.delimiter != best.delimiter && rows_alike(&split) > rows_alike(&best);
        if has > most || has > 0 && has == most && (longer || regular()) {
            (best, most) = (split, has);
        }
    }
    Ok(with_units(table.text, best, name))
}

/// How many of the rows below a header, as far as one is looked for, have its width.
fn rows_alike(split: &Split<'_>) -> usize {
    let rows = rows_from(split.body, 0, 0, split.delimiter, false, SEARCHED);
    let alike = |row: &&Row| row.fields.len() == split.header.len();
    rows.iter().filter(alike).count()
}

/// What else than the first row the header may be.
fn others<'a>(
    table: TableText<'a>,
    name: &dyn Fn(&[String]) -> Option<usize>,
) -> impl Iterator<Item = Split<'a>> {
    let text = table.text;
    let delimiters: Vec<u8> = match table.delimiter.byte() {
        Some(byte) => vec![byte],
        None => {
            let likely = sniff(text);
            let others = DELIMITERS.into_iter().filter(|d| *d != likely);
            std::iter::once(likely).chain(others).collect()
        }
    };
    // A quotation mark that a title leaves open takes the rows below it: then lines are rows.
    let ways = [false, true].into_iter();
    let ways = ways.flat_map(move |lines| delimiters.clone().into_iter().map(move |d| (d, lines)));
    ways.flat_map(move |(delimiter, lines)| {
        let rows = rows_from(text, 0, 0, delimiter, lines, SEARCHED + 2);
        let splits = (0..rows.len().min(SEARCHED)).flat_map(|at| {
            let rows = &rows;
            header_forms(|i| Some(rows.get(at + i)?.fields.as_slice()), name)
                .into_iter()
                .map(move |(header, taken, with_units)| {
                    let last = &rows[at + taken - 1];
                    Split {
                        shown: table.shown,
                        of_sheet: table.of_sheet,
                        delimiter,
                        header,
                        body: &text[last.end..],
                        row: last.number,
                        above: rows[..at].iter().map(Row::words).collect(),
                        // They stand in the header already.
                        units: with_units.then(Vec::new),
                    }
                })
        });
        splits.collect::<Vec<_>>()
    })
}

impl Row {
    /// Number and content, blank fields left out.
    fn words(&self) -> Above {
        let filled = self.fields.iter().map(|f| f.trim());
        let filled = filled.filter(|f| !f.is_empty()).map(String::from);
        (self.number, filled.collect())
    }
}

/// The same table, where the row below its header states units.
fn with_units<'a>(
    text: &'a str,
    mut split: Split<'a>,
    name: &dyn Fn(&[String]) -> Option<usize>,
) -> Split<'a> {
    if split.units.is_some() {
        return split;
    }
    let start = text.len() - split.body.len();
    let next = rows_from(text, start, split.row, split.delimiter, false, 1).pop();
    if let Some(row) = next {
        let units = without_repeats(&row.fields, &split.header);
        let place = || name(&split.header).unwrap_or(0);
        if is_units_row(&units, place) {
            split.body = &text[row.end..];
            split.row = row.number;
            split.units = Some(units);
        }
    }
    split
}

/// Up to `most` rows from `start` on, above which `number` rows stand; `lines` where every
/// line is a row whatever its quotation marks say.
fn rows_from(
    text: &str,
    start: usize,
    number: u32,
    delimiter: u8,
    lines: bool,
    most: usize,
) -> Vec<Row> {
    let (mut at, mut number, mut rows) = (start, number, Vec::new());
    while rows.len() < most {
        let (blank, begin) = blank_lines(text.as_bytes(), at);
        let rest = &text[begin..];
        if rest.is_empty() {
            break;
        }
        let line = memchr::memchr2(b'\n', b'\r', rest.as_bytes()).unwrap_or(rest.len());
        let part = if lines { &rest[..line] } else { rest };
        let mut reader = reader(part, delimiter);
        let mut record = StringRecord::new();
        if !reader.read_record(&mut record).unwrap_or(false) {
            break;
        }
        let length = if lines {
            line
        } else {
            reader.position().byte() as usize
        };
        at = begin + after_break(rest, length);
        number += blank + 1;
        if record.iter().any(|field| !field.trim().is_empty()) {
            let fields = record.iter().map(str::to_string).collect();
            let end = at;
            rows.push(Row {
                number,
                fields,
                end,
            });
        }
    }
    rows
}

/// The place behind the line end at or before `length`.
fn after_break(rest: &str, length: usize) -> usize {
    let bytes = rest.as_bytes();
    let broken = length > 0 && matches!(bytes[length - 1], b'\n' | b'\r');
    match (broken, bytes.get(length)) {
        (true, Some(b'\n')) if bytes[length - 1] == b'\r' => length + 1,
        (false, Some(b'\r')) => length + 1 + usize::from(bytes.get(length + 1) == Some(&b'\n')),
        (false, Some(b'\n')) => length + 1,
        _ => length,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::reading::header::units_row::with_unit_texts;
    use crate::records::settings::words::Delimiter;

    fn found(text: &str) -> (Vec<String>, u32, String) {
        let lacking = |header: &[String]| {
            let lacks = |names: &[&str]| !header.iter().any(|h| names.contains(&h.as_str()));
            let needed: [&[&str]; 3] = [&["id"], &["date"], &["error", "found value"]];
            needed.into_iter().filter(|names| lacks(names)).count()
        };
        let name = |header: &[String]| header.iter().position(|h| h == "id");
        let sought = Sought {
            lacking: &lacking,
            name: &name,
        };
        let split = find_table(TableText::of_file(text, "f", Delimiter::Auto), &sought).unwrap();
        (split.header, split.row, split.body.to_string())
    }

    #[test]
    fn a_plain_table_is_what_it_was() {
        let (header, row, body) = found("id,date,error\nA,2020-01-01,1\n");
        assert_eq!(
            (header.len(), row, body.as_str()),
            (3, 1, "A,2020-01-01,1\n")
        );
        let (header, row, _) = found("\n\r\nid;date;error\r\nA;2020-01-01;1\n");
        assert_eq!((header.len(), row), (3, 3));
    }

    #[test]
    fn titles_units_and_a_header_of_two_rows_are_found() {
        let table = "A;2020-01-01;1;2\n";
        for (above, row) in [
            ("Log of 2020\n\nid;date;error;u\n", 3),
            ("Log;;;\r\n;;;\r\nid;date;error;u\r\n;;mK;mK\r\n", 4),
            ("Size 5\" log\nid;date;error;u\n;dd.mm.yyyy;[mK];[mK]\n", 3),
            ("id;date;found;\n;;value;u\n", 2),
            (
                "title, with commas, three\nid;date;found;\n;;value;u\n-;;mK;mK\n",
                4,
            ),
        ] {
            let (header, at, body) = found(&format!("{above}{table}"));
            assert_eq!(
                (header.len(), at, body.as_str()),
                (4, row, table),
                "{above}"
            );
        }
    }

    #[test]
    fn a_unit_that_stands_twice_is_told_once() {
        let row = |fields: &[&str]| fields.iter().map(|f| f.to_string()).collect::<Vec<_>>();
        let headers = row(&["id", "Error [mK]", "U (mK)", "Error", "Error [K]"]);
        let units = row(&["", "mK", "[mK]", "mK", "mK"]);
        assert_eq!(
            with_unit_texts(&headers, &units),
            ["id", "Error [mK]", "U (mK)", "Error [mK]", "Error [K] [mK]"]
        );
    }

    #[test]
    fn no_header_leaves_the_first_row() {
        let (header, row, _) = found("when,what\n1,2\n");
        assert_eq!((header, row), (vec!["when".into(), "what".into()], 1));
    }
}
