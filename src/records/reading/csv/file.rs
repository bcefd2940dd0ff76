/*! CSV in: one text of checks becomes batches of rows, below the header that is found in it. */

use super::rows::{Layout, piece_size, read_pieces, read_plain, read_quoted};
use super::sections::{refuse_other_items, sections};
use super::text::{Split, TableText, split_header};
use crate::records::LoadError;
use crate::records::cells::batch::Batch;
use crate::records::cells::column::{COLUMN_COUNT, Column};
use crate::records::cells::row::rules::Rules;
use crate::records::cells::shape::Shape;
use crate::records::date::DateFormat;
use crate::records::reading::fill_down::{self, FillDown};
use crate::records::reading::header::above::{self, Above};
use crate::records::reading::header::checks::{
    find_checks, lacking, match_columns, refuse_other_units, wanted,
};
use crate::records::reading::header::own::OFF;
use crate::records::reading::header::{Matched, find};
use crate::records::reading::wide::{self, Door, unpivot};
use crate::records::settings::words::{Delimiter, InstrumentFrom};
use std::borrow::Cow;

/// Reads the rows of one text, in order.
///
/// # Errors
/// No header, a needed column missing, a quotation mark left open.
pub(crate) fn read_rows(
    table: TableText<'_>,
    rules: &Rules<'_>,
) -> Result<(Vec<Batch>, Matched), LoadError> {
    if rules.settings.wide.is_used() {
        return read_wide(table, rules);
    }
    let split = find_checks(table, rules)?;
    if rules.instrument.is_some() {
        refuse_other_items(&split)?;
    }
    let by_cell = rules.settings.instrument_from == InstrumentFrom::Cell;
    match by_cell || !rules.settings.date_cell.trim().is_empty() {
        true => read_sections(&split, rules),
        false => read_below(&split, None, rules),
    }
}

/// Reads tables above each of which a cell names its instrument or states its day.
fn read_sections(split: &Split<'_>, rules: &Rules<'_>) -> Result<(Vec<Batch>, Matched), LoadError> {
    let sections = sections(split, rules)?;
    if sections.len() > 1 && has_broken_rows(split.body) {
        let what = "tables of several instruments or days stand one below the other, and cells of them hold line breaks";
        let mend = "Take the line breaks out, or put each table into a file or a sheet of its own.";
        return Err(LoadError::new(split.shown, what, mend));
    }
    let (mut batches, mut all) = (Vec::new(), None);
    for (number, section) in sections.iter().enumerate() {
        let dated = rules.of_date(section.date.or(rules.date));
        let named = section.instrument.as_ref();
        let named = named.map(|name| dated.of_instrument(name));
        let own = Split {
            body: section.body,
            row: section.row,
            above: if number == 0 {
                split.above.clone()
            } else {
                Vec::new()
            },
            ..split.clone()
        };
        let rules = named.as_ref().unwrap_or(&dated);
        let (read, matched) = read_below(&own, None, rules)?;
        batches.extend(read);
        all.get_or_insert(matched);
    }
    let mut matched = all.unwrap_or_default();
    // A row alone does not tell of what it is.
    matched.plain_body = 0;
    if sections.len() > 1 {
        matched.set_aside += sections
            .iter()
            .map(|section| section.set_aside)
            .sum::<u64>();
        matched.note(format!(
            "{} tables stand one below the other, each below the cell that names its instrument or day",
            sections.len()
        ));
    }
    Ok((batches, matched))
}

/// True where a quoted cell goes on in the next line: rows are no lines then.
fn has_broken_rows(body: &str) -> bool {
    let open = |line: &str| line.bytes().filter(|b| *b == b'"').count() % 2 == 1;
    body.lines().any(open)
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
fn read_wide(table: TableText<'_>, rules: &Rules<'_>) -> Result<(Vec<Batch>, Matched), LoadError> {
    let all = wanted(rules);
    let own = |column: Column| {
        let wanted = all[column.index()];
        wanted.own.filter(|own| *own != OFF).unwrap_or(wanted.name)
    };
    let long = through_door(rules, |door| unpivot(table, door, own))?;
    let name = named_above(long.above(), table.shown, rules)?;
    let named = name.as_ref().map(|name| rules.of_instrument(name));
    let rules = named.as_ref().unwrap_or(rules);
    // Dates of headers are written by the program, whatever the file's own are.
    let wide = &rules.settings.wide;
    let dates = match wide.by_points() || wide.by_numbers() {
        true => rules.dates.clone(),
        false => DateFormat::Iso,
    };
    let rules = Rules { dates, ..*rules };
    let text = TableText::of_file(&long.text, table.shown, Delimiter::Comma);
    let split = split_header(text)?;
    let (mut batches, mut matched) = read_below(&split, Some(long.units()), &rules)?;
    long.settle(&mut batches, &mut matched);
    // What stands beside dates or points tells what is measured, such as a correction.
    let found = matched.place(Column::AsFound);
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
    split: &Split<'_>,
    units: Option<&[String]>,
    rules: &Rules<'_>,
) -> Result<(Vec<Batch>, Matched), LoadError> {
    let mut matched = match_columns(split.shown, split.header.clone(), rules)?;
    let positions: [Option<usize>; COLUMN_COUNT] = std::array::from_fn(|i| matched.positions[i]);
    matched.found_in(split);
    let filled = match rules.settings.fill_down.is_empty() || units.is_some() {
        true => None,
        false => Some(fill(split, rules, &mut matched)?),
    };
    let below = filled.as_deref().unwrap_or(split.body);
    matched.units = units.map_or(matched.units, <[String]>::to_vec);
    refuse_other_units(split.shown, &matched)?;
    let layout = Layout {
        split,
        columns: Shape::of(&matched, rules.settings),
        positions,
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
fn fill(split: &Split<'_>, rules: &Rules<'_>, matched: &mut Matched) -> Result<String, LoadError> {
    let settings = rules.settings;
    let places = fill_down::places(split.shown, &settings.fill_down, matched)?;
    let telling = fill_down::telling(matched, &settings.point_from);
    let name = matched.place(Column::Instrument);
    let is_date = |text: &str| rules.dates.parse(text.trim()).is_some();
    let mut fill = FillDown::new(&split.header, places, telling, name, &is_date);
    let anew = fill_down::written_anew(split, &mut fill)?;
    matched.set_aside += anew.headings;
    if let Some(words) = anew.note {
        matched.note(words);
    }
    Ok(anew.text)
}

/// The needed columns that a text lacks, by the row that has the most of them.
pub(crate) fn lacking_in_text(
    table: TableText<'_>,
    rules: &Rules<'_>,
) -> Result<Vec<String>, LoadError> {
    if rules.settings.wide.is_used() {
        return through_door(rules, |door| wide::lacking(table, door));
    }
    let split = find_checks(table, rules)?;
    let wanted = wanted(rules);
    let name = |c: &Column| wanted[c.index()].own.unwrap_or(c.name()).to_string();
    Ok(lacking(&split.header, rules).iter().map(name).collect())
}
