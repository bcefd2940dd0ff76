/*! CSV in: rows in parallel pieces, each judged once.

A file without a quotation mark can be cut at any line break, so that its
pieces are read on all cores; one with quotation marks is read in one piece,
because a line break may belong to a field.
*/

use super::above::{self, Above};
use super::aside::{Aside, aside};
use super::csv_records::{Next, Records, open_reason};
use super::csv_text::{PlainRecords, Split, split_header};
use super::fill_down::{self, FillDown};
use super::find_table::{Sought, find_table};
use super::header::{Matched, Wanted, find, match_headers, missing};
use super::own_header::OFF;
use super::wide;
use super::wide::{Door, Written, unpivot};
use crate::records::LoadError;
use crate::records::cells::batch::{Batch, text_field};
use crate::records::cells::column::{COLUMN_COUNT, Column};
use crate::records::cells::field::Field;
use crate::records::cells::power_of_ten::{POWER_OF_TEN, PowerOfTen};
use crate::records::cells::rules::{Fields, Rules};
use crate::records::cells::shape::{Shape, ends_with_minus};
use crate::records::cells::stated_unit::apart_from;
use crate::records::cells::unit::of_header;
use crate::records::date::DateFormat;
use crate::records::setting_words::{Delimiter, InstrumentFrom};
use csv::StringRecord;
use rayon::prelude::*;
use std::borrow::Cow;

/// Largest piece: small enough that its columns grow little beyond need.
const LARGEST_PIECE: usize = 16 << 20;
/// Smallest piece: large enough that every name is interned few times.
const SMALLEST_PIECE: usize = 1 << 20;
/// Pieces for each thread, so that none waits long for the last one.
const PIECES_A_THREAD: usize = 2;

/// What a row needs to become fields.
struct Layout<'a> {
    delimiter: u8,
    headers: &'a [String],
    positions: [Option<usize>; COLUMN_COUNT],
    columns: Shape,
    shown: &'a str,
    /// True where the text was made from a sheet, whose rows end at their last filled cell.
    of_sheet: bool,
}

/// Reads the rows of one text, in order; `of_sheet` where it was made from a sheet.
///
/// # Errors
/// No header, a needed column missing, a quotation mark left open.
pub(crate) fn read_rows(
    text: &str,
    shown: &str,
    of_sheet: bool,
    rules: &Rules<'_>,
) -> Result<(Vec<Batch>, Matched), LoadError> {
    if rules.settings.wide.is_used() {
        return read_wide(text, shown, of_sheet, rules);
    }
    // What is made from a sheet has commas, whatever the texts beside it have.
    let delimiter = if of_sheet {
        Delimiter::Comma
    } else {
        rules.settings.delimiter
    };
    let split = find_checks(text, delimiter, shown, rules)?;
    let name = named_above(&split.above, shown, rules)?;
    let named = name.as_ref().map(|name| rules.of_instrument(name));
    read_below(
        split,
        shown,
        of_sheet,
        None,
        named.as_ref().unwrap_or(rules),
    )
}

/// The instrument of a table that a cell above it names.
fn named_above(
    rows: &[Above],
    shown: &str,
    rules: &Rules<'_>,
) -> Result<Option<String>, LoadError> {
    let settings = rules.settings;
    match settings.instrument_from {
        InstrumentFrom::Cell => above::instrument(rows, &settings.instrument_cell, shown).map(Some),
        _ => Ok(None),
    }
}

/// Reads a wide table as one row a check.
fn read_wide(
    text: &str,
    shown: &str,
    of_sheet: bool,
    rules: &Rules<'_>,
) -> Result<(Vec<Batch>, Matched), LoadError> {
    let delimiter = if of_sheet {
        Delimiter::Comma
    } else {
        rules.settings.delimiter
    };
    let written = Written {
        delimiter,
        of_sheet,
    };
    let all = wanted(rules);
    let own = |column: Column| {
        let wanted = all[column.index()];
        wanted.own.filter(|own| *own != OFF).unwrap_or(wanted.name)
    };
    let long = through_door(rules, |door| unpivot(text, shown, written, door, own))?;
    let name = named_above(long.above(), shown, rules)?;
    let rules = &match &name {
        Some(name) => rules.of_instrument(name),
        None => Rules {
            dates: rules.dates.clone(),
            ..*rules
        },
    };
    // Dates of headers are written by the program, whatever the file's own are.
    let dates = match rules.settings.wide.by_points() {
        true => rules.dates.clone(),
        false => DateFormat::Iso,
    };
    let rules = Rules {
        dates,
        marks: rules.marks,
        ..*rules
    };
    let split = split_header(&long.text, Delimiter::Comma, shown)?;
    let (mut batches, mut matched) = read_below(split, shown, false, Some(long.units()), &rules)?;
    long.settle(&mut batches, &mut matched);
    // What stands beside dates or points tells what is measured, such as a correction.
    let found = matched.positions[Column::AsFound.index()];
    if let (Some(place), Some(word)) = (found, &rules.settings.wide.as_found)
        && !word.is_empty()
    {
        matched.headers[place].clone_from(word);
    }
    Ok((batches, matched))
}

/// Opens a wide table by the headers that the settings state.
fn through_door<T>(rules: &Rules<'_>, read: impl FnOnce(&Door<'_>) -> T) -> T {
    let all = wanted(rules);
    let place = |headers: &[String], column: Column| find(headers, &all[column.index()]);
    read(&Door {
        settings: &rules.settings.wide,
        name: &|headers| place(headers, Column::Instrument),
        date: &|headers| place(headers, Column::Date),
        fill_down: &rules.settings.fill_down,
        is_date: &|text| rules.dates.parse(text).is_some(),
    })
}

/// Reads the rows below a header; `units` are those that another text states.
fn read_below(
    mut split: Split<'_>,
    shown: &str,
    of_sheet: bool,
    units: Option<&[String]>,
    rules: &Rules<'_>,
) -> Result<(Vec<Batch>, Matched), LoadError> {
    let header = std::mem::take(&mut split.header);
    let mut matched = match_columns(shown, header, rules)?;
    let positions: [Option<usize>; COLUMN_COUNT] = std::array::from_fn(|i| matched.positions[i]);
    let headers = matched.headers.clone();
    matched.found_in(&split);
    let filled = match rules.settings.fill_down.is_empty() || units.is_some() {
        true => None,
        false => Some(fill(&split, shown, of_sheet, rules, &mut matched)?),
    };
    let below = filled.as_deref().unwrap_or(split.body);
    matched.units = units.map_or(matched.units, <[String]>::to_vec);
    let layout = Layout {
        delimiter: split.delimiter,
        columns: Shape::of(&matched, rules.settings),
        headers: &headers,
        positions,
        shown,
        of_sheet,
    };
    let place = positions[Column::Instrument.index()];
    let body = match (rules.needed, place) {
        (Some(needed), Some(place)) => needed.rows_of(below, split.delimiter, place),
        _ => Cow::Borrowed(below),
    };
    let quoted = memchr::memchr(b'"', body.as_bytes()).is_some();
    let size = piece_size(body.len());
    if !quoted && units.is_none() && filled.is_none() {
        matched.plain_body = split.body.len();
    }
    let batches = match quoted {
        true => vec![Batch {
            first_row: split.row,
            ..read_quoted(&body, &layout, rules)?
        }],
        false => read_pieces(&body, size, split.row, |piece| {
            read_plain(piece, &layout, rules)
        }),
    };
    Ok((batches, matched))
}

/// The rows below a header, with what blank cells take from the rows above them.
fn fill(
    split: &Split<'_>,
    shown: &str,
    of_sheet: bool,
    rules: &Rules<'_>,
    matched: &mut Matched,
) -> Result<String, LoadError> {
    let settings = rules.settings;
    let places = fill_down::places(shown, &settings.fill_down, matched)?;
    let telling = fill_down::telling(matched, &settings.point_from);
    let name = matched.positions[Column::Instrument.index()];
    let is_date = |text: &str| rules.dates.parse(text.trim()).is_some();
    let headers = matched.headers.clone();
    let mut fill = FillDown::new(&headers, places, telling, name, &is_date);
    let anew = fill_down::written_anew(split, shown, of_sheet, &mut fill)?;
    matched.set_aside += anew.headings;
    matched.notes.extend(anew.note);
    Ok(anew.text)
}

/// Reads a body without quotation marks, below row `first_row`, in pieces of some `size` on all cores.
fn read_pieces(
    body: &str,
    size: usize,
    mut first_row: u32,
    read: impl Fn(&str) -> Batch + Sync + Send,
) -> Vec<Batch> {
    let mut batches: Vec<Batch> = pieces(body, size).into_par_iter().map(read).collect();
    for batch in &mut batches {
        batch.first_row = first_row;
        first_row += batch.lines;
    }
    batches
}

/// Matches the columns of the checks table and insists on the needed ones.
pub(crate) fn match_columns(
    shown: &str,
    headers: Vec<String>,
    rules: &Rules<'_>,
) -> Result<Matched, LoadError> {
    if let Some(column) = lacking(&headers, rules).first() {
        let wanted = &wanted(rules)[column.index()];
        let header = wanted.own.unwrap_or(wanted.name);
        return Err(missing(shown, &headers, wanted, header));
    }
    let settings = rules.settings;
    let points = settings.point_from.iter().map(|own| ("point_from", own));
    let repeats = settings.repeated_in.iter().map(|own| ("repeated_in", own));
    let filled = settings.fill_down.iter().map(|own| ("fill_down", own));
    let left = Some(("left_rows_by", &settings.left_rows_by));
    let left = left.filter(|(_, own)| !own.trim().is_empty());
    for (name, own) in points.chain(repeats).chain(filled).chain(left) {
        let same = |header: &String| header.trim().eq_ignore_ascii_case(own.trim());
        if !headers.iter().any(same) {
            let wanted = Wanted {
                name,
                own: Some(own),
            };
            return Err(missing(shown, &headers, &wanted, own));
        }
    }
    let mut matched = match_headers(shown, headers, &wanted(rules))?;
    let lower = matched.positions[Column::Lower.index()].and_then(|i| matched.headers.get(i));
    if let Some(lower) = lower.filter(|header| ends_with_minus(header)) {
        let note = format!(
            "\"{lower}\" is read as limits below 0, with or without a minus sign in the cell"
        );
        matched.notes.push(note);
    }
    refuse_open_power(shown, &matched, rules)?;
    Ok(matched)
}

/// Refuses a power of ten that a header states apart from its unit, until a person says what it is.
fn refuse_open_power(shown: &str, matched: &Matched, rules: &Rules<'_>) -> Result<(), LoadError> {
    if rules.settings.power_of_ten != PowerOfTen::Auto {
        return Ok(());
    }
    let measured = Column::ALL
        .into_iter()
        .filter(|column| column.has_unit())
        .filter_map(|column| matched.positions[column.index()]);
    let headers = measured.filter_map(|place| matched.headers.get(place));
    let headers = headers.chain(&rules.settings.repeated_in);
    for header in headers {
        if let Some(power) = apart_from(header, of_header(header)) {
            let what = format!(
                "\"{header}\" states a power of ten ({power}) apart from a unit: the unit may be so many times larger, or the numbers may have been multiplied"
            );
            let mend = "State power_of_ten = \"unit\" or \"numbers\" under [checks], or \"none\" where it is no power of what is measured.";
            return Err(LoadError::new(shown, what, mend).asking(POWER_OF_TEN));
        }
    }
    Ok(())
}

fn wanted<'a>(rules: &Rules<'a>) -> [Wanted<'a>; COLUMN_COUNT] {
    let own = rules.settings.columns.headers();
    Column::ALL.map(|column| Wanted {
        name: column.name(),
        own: own[column.index()],
    })
}

/// The needed columns that a text lacks, by the row that has the most of them.
pub(crate) fn lacking_in_text(
    text: &str,
    shown: &str,
    rules: &Rules<'_>,
) -> Result<Vec<String>, LoadError> {
    if rules.settings.wide.is_used() {
        return through_door(rules, |door| wide::lacking(text, shown, door));
    }
    let split = find_checks(text, Delimiter::Comma, shown, rules)?;
    let wanted = wanted(rules);
    let name = |c: &Column| wanted[c.index()].own.unwrap_or(c.name()).to_string();
    Ok(lacking(&split.header, rules).iter().map(name).collect())
}

/// The table of checks in a text.
fn find_checks<'a>(
    text: &'a str,
    delimiter: Delimiter,
    shown: &str,
    rules: &Rules<'_>,
) -> Result<Split<'a>, LoadError> {
    let instrument = wanted(rules)[Column::Instrument.index()];
    // A header that the settings name tells the table as much as a needed one: it may be that
    // only the form with the units below it has them all.
    let stated = |headers: &[String]| {
        let lacks = |w: &&Wanted<'_>| w.own.is_some() && find(headers, w).is_none();
        wanted(rules).iter().filter(lacks).count()
    };
    let sought = Sought {
        lacking: &|headers| lacking(headers, rules).len() + stated(headers),
        name: &|headers| find(headers, &instrument),
    };
    find_table(text, delimiter, shown, &sought)
}

/// The needed columns that `headers` lack.
fn lacking(headers: &[String], rules: &Rules<'_>) -> Vec<Column> {
    let wanted = wanted(rules);
    let lacks = |column: &Column| {
        let by_cell = rules.settings.instrument_from == InstrumentFrom::Cell;
        let told = *column == Column::Instrument && (rules.instrument.is_some() || by_cell);
        !told && find(headers, &wanted[column.index()]).is_none()
    };
    let value = lacks(&Column::AsFound) && lacks(&Column::InTolerance);
    let needed = [Column::Instrument, Column::Date].into_iter().filter(lacks);
    needed.chain(value.then_some(Column::AsFound)).collect()
}

/// Bytes of a piece of a body of `length`; rows and their numbers do not depend on it.
fn piece_size(length: usize) -> usize {
    let pieces = PIECES_A_THREAD * rayon::current_num_threads();
    (length / pieces + 1).clamp(SMALLEST_PIECE, LARGEST_PIECE)
}

/// Pieces of whole lines of a text without quotation marks.
fn pieces(body: &str, size: usize) -> Vec<&str> {
    let mut pieces = Vec::new();
    let mut rest = body;
    while rest.len() > size {
        let Some(line_end) = memchr::memchr(b'\n', &rest.as_bytes()[size..]) else {
            break;
        };
        let (piece, after) = rest.split_at(size + line_end + 1);
        pieces.push(piece);
        rest = after;
    }
    pieces.push(rest);
    pieces
}

fn read_plain(piece: &str, layout: &Layout<'_>, rules: &Rules<'_>) -> Batch {
    let rows = match rules.needed {
        None => memchr::memchr_iter(b'\n', piece.as_bytes()).count() + 1,
        // Most lines are blank.
        Some(_) => 0,
    };
    let mut batch = Batch::with_room(rows, &layout.columns);
    let mut records = PlainRecords::new(piece, layout.delimiter);
    let mut record = Vec::with_capacity(layout.headers.len());
    while records.next(&mut record) {
        batch.lines = records.row - 1;
        push(&mut batch, record.len(), |i| record[i], layout, rules);
    }
    batch.lines = records.row;
    batch.whole()
}

fn read_quoted(body: &str, layout: &Layout<'_>, rules: &Rules<'_>) -> Result<Batch, LoadError> {
    let mut batch = Batch::default();
    let date = layout.positions[Column::Date.index()];
    let dated = |record: &StringRecord| {
        let field = date.and_then(|place| record.get(place)).unwrap_or("");
        rules.dates.parse(field.trim()).is_some()
    };
    let mut records = Records::new(body, layout.delimiter, layout.headers.len(), layout.shown)
        .telling(&dated)
        .of_sheet(layout.of_sheet);
    let mut record = StringRecord::new();
    loop {
        let next = records.next(&mut record)?;
        match next {
            Next::End => break,
            _ => batch.lines = records.row - 1,
        }
        match next {
            Next::Open(below) => batch.push_ragged(joined(&record, layout), open_reason(below)),
            _ => push(&mut batch, record.len(), |i| &record[i], layout, rules),
        }
    }
    batch.lines = records.row;
    Ok(batch.whole())
}

/// Judges one record of `width` fields.
fn push<'a>(
    batch: &mut Batch,
    width: usize,
    field: impl Fn(usize) -> &'a str,
    layout: &Layout<'_>,
    rules: &Rules<'_>,
) {
    let rejected = batch.rejects.len();
    if width == layout.headers.len() || layout.of_sheet {
        let text = |place| match place {
            Some(i) if i < width => text_field(field(i), rules),
            _ => Field::Empty,
        };
        let repeated = layout.columns.repeated.iter();
        let mut fields = Fields {
            own: layout.positions.map(text),
            repeats: repeated.map(|own| text(Some(own.place))).collect(),
            off_point: false,
            is_left: layout
                .columns
                .is_left(|i| Cow::Borrowed(if i < width { field(i) } else { "" })),
        };
        let (point, is_near);
        if !layout.columns.point_from.is_empty() {
            let marks = rules.marks[Column::Nominal.index()];
            (point, is_near) = layout.columns.point(marks, |i| {
                Cow::Borrowed(if i < width { field(i) } else { "" })
            });
            fields.own[Column::Point.index()] = Field::Text(&point);
            fields.off_point = !is_near;
        }
        batch.push(&fields, &layout.columns, rules);
    } else {
        push_ragged(batch, &(0..width).map(&field).collect(), layout);
    }
    if let Some(reject) = batch.rejects.get(rejected) {
        let name = |column: Column| layout.positions[column.index()].filter(|i| *i < width);
        let named = [Column::Instrument, Column::Point].map(name);
        if named
            .into_iter()
            .flatten()
            .any(|i| rules.sets_aside(field(i)))
        {
            batch.set_aside_last(Aside::Summary);
            return;
        }
        let fields: Vec<&str> = (0..width).map(field).collect();
        let is_date = |text: &str| rules.dates.parse(text).is_some();
        let speaks = !reject.carried.is_nothing();
        if let Some(what) = aside(&fields, layout.headers, speaks, is_date) {
            batch.set_aside_last(what);
        }
    }
}

/// The fields of a record as one text.
fn joined(record: &StringRecord, layout: &Layout<'_>) -> String {
    let fields: Vec<&str> = record.iter().collect();
    fields.join(&char::from(layout.delimiter).to_string())
}

fn push_ragged(batch: &mut Batch, record: &StringRecord, layout: &Layout<'_>) {
    let text = joined(record, layout);
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
        count(layout.headers.len())
    );
    if text.contains('\n') {
        reason.push_str("; it spans several lines: is a quotation mark left open?");
    }
    batch.push_ragged(text, reason);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::FormerNames;
    use crate::records::group::group;
    use crate::records::settings::ChecksSettings;
    use proptest::prelude::*;

    fn rows(text: &str) -> (Vec<u32>, Vec<(u32, String)>) {
        let settings = ChecksSettings::default();
        let rules = Rules::new(&settings, 30_000.0);
        let (batches, _) = read_rows(text, "f.csv", false, &rules).unwrap();
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
    fn pieces_are_whole_lines() {
        let body = "A,1\nBé,22\n\nC,3\r\nD,4";
        for size in 1..body.len() {
            let cut = pieces(body, size);
            assert_eq!(cut.concat(), body);
            assert!(cut[..cut.len() - 1].iter().all(|p| p.ends_with('\n')));
        }
    }

    #[test]
    fn row_numbers_go_on_from_piece_to_piece() {
        let mut text = "instrument,date,as_found\n".to_string();
        let rows = LARGEST_PIECE / 10;
        text.push_str(&"A,2020-01-01,1\n".repeat(rows));
        text.push_str("\nA,x,1\n");
        let settings = ChecksSettings::default();
        let (batches, _) =
            read_rows(&text, "f.csv", false, &Rules::new(&settings, 30_000.0)).unwrap();
        assert!(batches.len() > 1);
        let last = &batches[batches.len() - 1];
        assert_eq!(last.first_row + last.rejects[0].row, rows as u32 + 3);
    }

    /// All that batches say of their rows, whichever batch says it.
    fn words_of(mut batches: Vec<Batch>) -> Vec<String> {
        let mut lines = Vec::new();
        // Kind by kind, as they are gathered.
        type Said = fn(&Batch) -> Vec<(u32, String)>;
        let kinds: [Said; 4] = [
            |batch| {
                let all = batch.rejects.iter();
                let said = all.map(|r| {
                    (
                        r.row,
                        format!("{:?}", (r.column, &r.value, &r.reason, &r.instrument)),
                    )
                });
                said.collect()
            },
            |batch| {
                batch
                    .bare
                    .iter()
                    .map(|r| (r.row, r.reason.to_string()))
                    .collect()
            },
            |batch| {
                batch
                    .set_aside
                    .iter()
                    .map(|(what, row)| (*row, format!("{what:?}")))
                    .collect()
            },
            |batch| {
                batch
                    .unknown_words
                    .iter()
                    .map(|w| (w.row, w.word.clone()))
                    .collect()
            },
        ];
        for said in kinds {
            for batch in &batches {
                let rows = said(batch).into_iter();
                lines.extend(rows.map(|(row, words)| format!("{} {words}", batch.first_row + row)));
            }
        }
        let groups = group(&mut batches, &FormerNames::default());
        for (code, pair) in groups.order.iter().zip(groups.offsets.windows(2)) {
            lines.push(format!("{:?}", groups.names.get(*code)));
            for entry in &groups.entries[pair[0]..pair[1]] {
                let batch = &batches[entry.batch as usize];
                let (row, value) = (
                    entry.row as usize,
                    batch.columns.as_found.get(entry.row as usize),
                );
                lines.push(format!(
                    "{} {} {value:?}",
                    batch.first_row + batch.row[row],
                    entry.date
                ));
            }
        }
        lines
    }

    proptest! {
        /// Wherever a text is cut, its rows, their numbers and what is said of them are the same.
        #[test]
        fn every_cut_reads_the_same(
            rows in prop::collection::vec(
                ("[A-C]{0,2}", "(2020-0[1-9]-1[0-3]|x|)", "([0-9]\\.[0-9]|x|)", "(|,repaired|,mended)", "(\n|\r\n|\n\n)"),
                0..60,
            ),
            size in 1usize..400,
        ) {
            let body: String = rows.iter().map(|(name, date, value, event, end)| format!("{name},{date},{value}{event}{end}")).collect();
            let settings = ChecksSettings::default();
            let rules = Rules::new(&settings, 30_000.0);
            let headers = ["instrument", "date", "as_found", "event"].map(String::from).to_vec();
            let matched = match_columns("f.csv", headers.clone(), &rules).unwrap();
            let layout = Layout {
                delimiter: b',',
                columns: Shape::of(&matched, &settings),
                headers: &headers,
                positions: std::array::from_fn(|i| matched.positions[i]),
                shown: "f.csv",
                of_sheet: false,
            };
            let read = |size| words_of(read_pieces(&body, size, 1, |piece| read_plain(piece, &layout, &rules)));
            prop_assert_eq!(read(size), read(usize::MAX));
        }
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
    fn a_stray_quotation_mark_costs_its_own_row_alone() {
        let text = "instrument,date,as_found,note\nA,2020-01-01,1,\"5 dial\nA,2021-01-01,2,\nA,2022-01-01,9,x\nA,2023-01-01,3,\"ok\"\nB,2020-01-01,1,\"two\nlines, of, words, here\"\n";
        let (used, rejects) = rows(text);
        assert_eq!(used, [2, 3, 4, 5]);
        assert_eq!(rejects.len(), 1);
        assert!(rejects[0].0 == 1 && rejects[0].1.contains("quotation mark is opened here"));
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
            false,
            &rules,
        );
        let text = error.unwrap_err().to_string();
        assert!(text.contains("is the delimiter right?"), "{text}");
        let error = read_rows("instrumnet,date,as_found\n", "f.csv", false, &rules);
        let text = error.unwrap_err().to_string();
        assert!(
            text.contains("no column \"instrument\"") && text.contains("\"instrumnet\""),
            "{text}"
        );
    }
}
