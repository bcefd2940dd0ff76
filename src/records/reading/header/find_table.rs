/*! Where the table stands in a text: under lines that are none, with a header of one row or
two, and a row of units below it.

A row is the header where it has the columns that are looked for; nothing is guessed here.
Rows are numbered as a spreadsheet shows them.
*/

use super::above::Above;
use super::units_row::is_units_row;
use crate::records::LoadError;
use crate::records::cells::number::written::{Form, written};
use crate::records::cells::unit::{self, Unit};
use crate::records::reading::csv::text::{
    DELIMITERS, Split, blank_lines, reader, sniff, split_header,
};
use crate::records::settings::words::Delimiter;
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
/// As [`split_header`].
pub(crate) fn find_table<'a>(
    text: &'a str,
    delimiter: Delimiter,
    shown: &str,
    sought: &Sought<'_>,
) -> Result<Split<'a>, LoadError> {
    let mut best = split_header(text, delimiter, shown)?;
    let mut fewest = (sought.lacking)(&best.header);
    if fewest > 0 {
        for split in others(text, delimiter, sought.name) {
            let lacks = (sought.lacking)(&split.header);
            if lacks < fewest {
                (best, fewest) = (split, lacks);
            }
            if fewest == 0 {
                break;
            }
        }
    }
    Ok(with_units(text, best, sought.name))
}

/// The table whose header has the most words, as `words` counts them; the first row where no
/// other has more.
///
/// # Errors
/// As [`split_header`].
pub(crate) fn find_by_words<'a>(
    text: &'a str,
    shown: &str,
    words: &dyn Fn(&[String]) -> usize,
    name: &dyn Fn(&[String]) -> Option<usize>,
) -> Result<Split<'a>, LoadError> {
    let mut best = split_header(text, Delimiter::Auto, shown)?;
    let mut most = words(&best.header);
    for split in others(text, Delimiter::Auto, name) {
        let has = words(&split.header);
        // Of equals, the header that leaves no second row of its own below it.
        let longer = split.above.len() == best.above.len() && split.row > best.row;
        if has > most || has > 0 && has == most && longer {
            (best, most) = (split, has);
        }
    }
    Ok(with_units(text, best, name))
}

/// What else than the first row the header may be.
fn others<'a>(
    text: &'a str,
    delimiter: Delimiter,
    name: &dyn Fn(&[String]) -> Option<usize>,
) -> impl Iterator<Item = Split<'a>> {
    let delimiters: Vec<u8> = match delimiter.byte() {
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
            header_forms(&rows[at..], name)
                .into_iter()
                .map(move |(header, taken, with_units)| {
                    let last = &rows[at + taken - 1];
                    Split {
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

/// What a header that begins at the first of `rows` may be, the rows that it takes, and whether
/// its last row states units.
fn header_forms(
    rows: &[Row],
    name: &dyn Fn(&[String]) -> Option<usize>,
) -> Vec<(Vec<String>, usize, bool)> {
    let fields = |i: usize| rows.get(i).map(|row| row.fields.as_slice());
    let units = |header: &[String], i: usize| {
        let units = fields(i).map(|fields| without_repeats(fields, header));
        units.filter(|units| is_units_row(units, || name(header).unwrap_or(0)))
    };
    let Some(one) = fields(0) else {
        return Vec::new();
    };
    let mut forms = vec![(one.to_vec(), 1, false)];
    if let Some(units) = units(one, 1) {
        forms.push((with_unit_texts(one, &units), 2, true));
    } else if let Some(second) =
        fields(1).filter(|second| is_more_than_a_title(one) || heads_points(one, second))
    {
        if second.iter().any(|field| is_figure(field)) && !heads_points(one, second) {
            return forms;
        }
        let below = without_repeats(second, one);
        let two = joined(one, &below);
        // Where both rows fill the column of the items, the lower one is a record.
        let place = name(&two).unwrap_or(0);
        let filled = |row: &[String]| row.get(place).is_some_and(|f| !f.trim().is_empty());
        if filled(one) && filled(&below) {
            return forms;
        }
        if let Some(units) = units(&two, 2) {
            forms.push((with_unit_texts(&two, &units), 3, true));
        }
        forms.push((two, 2, false));
    }
    forms
}

/// A row below a header without what it repeats of it: a header merged over several rows
/// stands in each of them.
fn without_repeats(row: &[String], header: &[String]) -> Vec<String> {
    let above = |i: usize| header.get(i).map_or("", |h| h.trim());
    let fields = row.iter().enumerate();
    let fresh = |(i, field): (usize, &String)| match above(i).ends_with(field.trim()) {
        true => String::new(),
        false => field.clone(),
    };
    fields.map(fresh).collect()
}

/// True for a number that is no year, and for a date: no header is one.
fn is_figure(field: &str) -> bool {
    let field = field.trim();
    let digits = field.bytes().filter(u8::is_ascii_digit).count();
    let others = field
        .bytes()
        .all(|b| b.is_ascii_digit() || b",.-+/: ".contains(&b));
    digits > 0 && others && !(digits == 4 && field.len() == 4)
}

/// True where a row states amounts alone under one header that holds for all of them, as 0, 50
/// and 100 under Error, beside words or blanks: points of one header, and no record.
fn heads_points(upper: &[String], lower: &[String]) -> bool {
    let blank = |row: &[String], i: usize| row.get(i).is_none_or(|f| f.trim().is_empty());
    let places = || (0..lower.len()).filter(|&i| states_amount(&lower[i]));
    let Some(first) = places().next() else {
        return false;
    };
    let fewest = 2;
    let of_one = places().all(|i| i == first || blank(upper, i)) && !blank(upper, first);
    let others = (0..lower.len()).filter(|&i| !states_amount(&lower[i]));
    of_one && places().count() >= fewest && !others.into_iter().any(|i| is_figure(&lower[i]))
}

/// True for a number, with a unit or without.
fn states_amount(field: &str) -> bool {
    [true, false].into_iter().any(|comma| {
        let amount = written(field.trim(), comma.into());
        amount.is_ok_and(|amount| {
            let known = amount.unit.is_empty() || Unit::parse(amount.unit).is_some();
            amount.form == Form::Plain && known
        })
    })
}

/// True where more than one field of a row is filled: a title stands alone.
fn is_more_than_a_title(row: &[String]) -> bool {
    row.iter().filter(|field| !field.trim().is_empty()).count() > 1
}

/// Two rows of headers as one: the upper one holds for the fields to its right that have none.
pub(crate) fn joined(upper: &[String], lower: &[String]) -> Vec<String> {
    let mut over = "";
    (0..upper.len().max(lower.len()))
        .map(|i| {
            let text = |row: &'_ [String]| row.get(i).map_or("", |f| f.trim()).to_string();
            let (own, below) = (text(upper), text(lower));
            if !own.is_empty() || below.is_empty() {
                over = upper.get(i).map_or("", |f| f.trim());
            }
            match (over, below.as_str()) {
                ("", below) => below.to_string(),
                (over, "") => over.to_string(),
                (over, below) => under(over, below),
            }
        })
        .collect()
}

/// A header and the one below it; a unit that the upper one ends with stands at the end, where
/// that of any header does.
fn under(over: &str, below: &str) -> String {
    let open = over
        .rfind(['[', '('])
        .filter(|_| over.ends_with([']', ')']));
    let word = open.map(|open| over.split_at(open));
    match word.filter(|(_, unit)| Unit::parse(bare_unit(unit)).is_some()) {
        Some((word, unit)) if unit::of_header(below).is_none() => {
            format!("{} {below} {unit}", word.trim_end())
        }
        _ => format!("{over} {below}"),
    }
}

/// A unit without its brackets.
pub(crate) fn bare_unit(text: &str) -> &str {
    text.trim().trim_matches(['[', ']', '(', ')']).trim()
}

/// The headers with the units that stand below them, as `Error [mK]`; a header that states that
/// unit itself stays as it is.
pub(crate) fn with_unit_texts(headers: &[String], units: &[String]) -> Vec<String> {
    let below = |i: usize| units.get(i).map_or("", |unit| bare_unit(unit));
    let with = |(i, header): (usize, &String)| match (header.trim(), below(i)) {
        (header, "") => header.to_string(),
        (header, unit) if unit::of_header(header) == Some(unit) => header.to_string(),
        (header, unit) => format!("{header} [{unit}]"),
    };
    headers.iter().enumerate().map(with).collect()
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
        let split = find_table(text, Delimiter::Auto, "f", &sought).unwrap();
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
