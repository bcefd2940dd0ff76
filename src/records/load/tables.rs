/*! The tables of one file of checks: one of a text or of Parquet, one a sheet of a workbook. */

use super::collect::FileRows;
use super::file_day::dated_by_name;
use crate::records::cells::batch::Batch;
use crate::records::cells::marks::Seen;
use crate::records::cells::row::rules::Rules;
use crate::records::made_checks::MadeChecks;
use crate::records::places::lines::Lines;
use crate::records::reading::columnar::parquet_file;
use crate::records::reading::csv::file::{self, lacking_in_text};
use crate::records::reading::csv::text::TableText;
use crate::records::reading::decoding::decode;
use crate::records::reading::guarded::{PARQUET, guarded};
use crate::records::reading::header::Matched;
use crate::records::reading::workbook::{self, Book, Sheet};
use crate::records::reading::{files, source};
use crate::records::settings::words::InstrumentFrom;
use crate::records::{InputFile, LoadError};
use crate::words::{quoted_list, series::series};
use rayon::prelude::*;
use std::borrow::Cow;
use std::collections::BTreeSet;
use std::path::Path;

/// Refuses a file that is no workbook where a setting asks for what such a file cannot have.
fn refuse_settings_of_others(path: &Path, shown: &str, rules: &Rules<'_>) -> Result<(), LoadError> {
    if rules.settings.instrument_from == InstrumentFrom::Sheet {
        return Err(LoadError::new(
            shown,
            "instruments are named by the sheets (instrument_from), and the file is no workbook",
            "State instrument_from = \"file\" under [checks] where each file has the name of its instrument, or files of another kind in a [[checks.other]] of their own.",
        ));
    }
    if files::is_parquet(path) && !rules.settings.fill_down.is_empty() {
        return Err(LoadError::new(
            shown,
            "blank cells are filled from the rows above (fill_down) in texts and workbooks, and the file is Parquet",
            "Fill its columns where it is written, and read it in a [[checks.other]] of its own without fill_down.",
        ));
    }
    Ok(())
}

/// Rows that hold the header of a table.
const HEADER_ROWS: u32 = 100;

/// Reads a file of checks; `named_sheets` are the sheets that any form of the records names.
///
/// # Errors
/// A file that cannot be read as a table of checks.
pub(crate) fn read_file(
    path: &Path,
    shown: &str,
    rules: &Rules<'_>,
    named_sheets: &[&str],
) -> Result<Vec<FileRows>, LoadError> {
    let name = match rules.settings.instrument_from {
        InstrumentFrom::File => path.file_stem().map(|stem| stem.to_string_lossy()),
        _ => None,
    };
    let named = name.as_ref().map(|name| rules.of_instrument(name));
    let rules = named.as_ref().unwrap_or(rules);
    let dated = dated_by_name(path, shown, rules)?;
    let rules = dated.as_ref().unwrap_or(rules);
    if workbook::is_workbook(path) {
        return read_workbook(path, shown, rules, named_sheets);
    }
    refuse_settings_of_others(path, shown, rules)?;
    let stated = rules.settings.decimal_comma;
    // The place of a row tells its instrument by its column alone.
    let by_column = rules.settings.instrument_from == InstrumentFrom::Column
        && rules.instrument.is_none()
        && dated.is_none();
    let mut lines = None;
    let (input, rows) = if files::is_parquet(path) {
        rayon::join(
            || source::input_of(path, shown),
            || {
                guarded(shown, PARQUET, || {
                    by_marks(shown, rules, stated, |rules| {
                        parquet_file::read_rows(path, shown, rules)
                    })
                })
            },
        )
    } else {
        let bytes = source::read(path, shown)?;
        rayon::join(
            || Ok(source::input_file(&bytes, shown)),
            || {
                let text = decode(&bytes, rules.settings.encoding, shown)?;
                let table = TableText::of_file(&text, shown, rules.settings.delimiter);
                let read = by_marks(shown, rules, stated, |rules| file::read_rows(table, rules))?;
                lines = match &text {
                    Cow::Borrowed(_) if by_column => lines_of(&bytes, &read),
                    _ => None,
                };
                Ok(read)
            },
        )
    };
    let rows = FileRows::of(shown, rules, rows?);
    Ok(vec![FileRows {
        input: Some(input?),
        lines,
        ..rows
    }])
}

/// Where the lines of a text of `bytes` lie, where each is a row.
fn lines_of(bytes: &[u8], (batches, matched): &(Vec<Batch>, Matched)) -> Option<Lines> {
    let first_row = batches.first()?.first_row;
    let plain = matched.plain_body > 0;
    plain
        .then(|| Lines::of(bytes, matched.plain_body, first_row))
        .flatten()
}

/// Reads the part of a text file of checks that a question needs.
///
/// # Errors
/// As [`read_file`].
pub(super) fn read_part(text: &str, shown: &str, rules: &Rules<'_>) -> Result<FileRows, LoadError> {
    let stated = rules.settings.decimal_comma;
    let table = TableText::of_file(text, shown, rules.settings.delimiter);
    let rows = by_marks(shown, rules, stated, |rules| file::read_rows(table, rules))?;
    Ok(FileRows {
        input: Some(InputFile {
            path: shown.to_string(),
            ..InputFile::default()
        }),
        ..FileRows::of(shown, rules, rows)
    })
}

/// Reads the sheets of a workbook that are tables of checks.
fn read_workbook(
    path: &Path,
    shown: &str,
    rules: &Rules<'_>,
    named: &[&str],
) -> Result<Vec<FileRows>, LoadError> {
    let bytes = workbook::bytes(path, shown)?;
    let settings = rules.settings;
    let wanted = workbook::Wanted {
        sheets: &settings.sheets,
        comma: settings.decimal_comma == Some(true),
        most_mb: settings.largest_unpacked_mb,
        rows: None,
    };
    let (input, book) = rayon::join(
        || source::input_file(&bytes, shown),
        || workbook::read(&bytes, shown, wanted),
    );
    let book = book?;
    let mut left_out = Vec::new();
    let mut tables = Vec::new();
    for sheet in &book.sheets {
        let place = book.place(shown, sheet);
        match settings.sheets.is_empty() && is_no_table(sheet, &place, rules)? {
            // What is named elsewhere, such as the register, is read there.
            true if named.contains(&sheet.name.as_str()) => {}
            true => left_out.push(sheet.name.as_str()),
            false => tables.push((sheet, place)),
        }
    }
    let all: Vec<&Sheet> = book.sheets.iter().collect();
    if tables.is_empty() {
        // The first sheet's own error tells which columns are missing.
        let sheet = all.first().ok_or_else(|| book.nothing(shown))?;
        tables.push((sheet, book.place(shown, sheet)));
        left_out.clear();
    }
    let read = tables
        .par_iter()
        .map(|(sheet, place)| read_sheet(sheet, place, rules));
    // The first error by the order of the sheets, whichever thread meets one first.
    let read: Vec<Result<FileRows, LoadError>> = read.collect();
    let mut read: Vec<FileRows> = read.into_iter().collect::<Result<_, _>>()?;
    let unnamed = book.unnamed.iter().map(String::as_str);
    let unnamed: Vec<&str> = unnamed.filter(|name| !named.contains(name)).collect();
    let forgotten = forgotten(&bytes, (shown, wanted), (named, &unnamed), rules);
    if let Some(first) = read.first_mut() {
        first.input = Some(input);
        let names = tables.iter().map(|(sheet, _)| sheet.name.as_str());
        let unread = not_read(&book, &left_out, names).into_iter();
        unread
            .chain(forgotten)
            .for_each(|words| first.matched.note(words));
    }
    Ok(read)
}

/// The sheets that a run reads of a workbook of which none are named, by their first rows; `None` where it refuses one
/// of them, or cannot read the workbook.
pub(crate) fn sheets_read(path: &Path, rules: &Rules<'_>) -> Option<Vec<String>> {
    let shown = path.to_string_lossy();
    let bytes = workbook::bytes(path, &shown).ok()?;
    let wanted = workbook::Wanted {
        sheets: &[],
        comma: rules.settings.decimal_comma == Some(true),
        most_mb: rules.settings.largest_unpacked_mb,
        rows: Some(HEADER_ROWS),
    };
    let book = workbook::read(&bytes, &shown, wanted).ok()?;
    let mut read = Vec::new();
    for sheet in &book.sheets {
        if !is_no_table(sheet, &book.place(&shown, sheet), rules).ok()? {
            read.push(sheet.name.clone());
        }
    }
    Some(read)
}

/// What is to be said of sheets `unnamed` that have what checks need, or lack one column of it, or are called like those
/// that are `named` but for a number: next year's sheet, for one.
fn forgotten(
    bytes: &[u8],
    (shown, wanted): (&str, workbook::Wanted<'_>),
    (named, unnamed): (&[&str], &[&str]),
    rules: &Rules<'_>,
) -> Option<String> {
    if unnamed.is_empty() {
        return None;
    }
    let sheets: Vec<String> = unnamed.iter().map(ToString::to_string).collect();
    let wanted = workbook::Wanted {
        sheets: &sheets,
        rows: Some(HEADER_ROWS),
        ..wanted
    };
    let of_series = named.iter().filter_map(|name| series(name));
    let of_series: BTreeSet<String> = of_series.collect();
    // What cannot be read is none of the records that were asked for.
    let book = workbook::read(bytes, shown, wanted).ok()?;
    let holds = |sheet: &&Sheet| {
        let own = of_sheet(sheet, rules);
        let rules = own.as_ref().unwrap_or(rules);
        series(&sheet.name).is_some_and(|own| of_series.contains(&own))
            || lacking_in_text(TableText::of_sheet(&sheet.text, shown), rules)
                .is_ok_and(|lacking| lacking.len() <= 1)
    };
    let found = book.sheets.iter().filter(holds).map(|sheet| &sheet.name);
    let found: Vec<&String> = found.collect();
    (!found.is_empty()).then(|| {
        format!(
            "sheets that are not named under sheets are not read, although they seem to hold checks: {}; add them there or, under other headers, in a [[checks.other]] of their own",
            quoted_list(&found)
        )
    })
}

/// True for a sheet that lacks all of the needed columns but one.
///
/// # Errors
/// A sheet that lacks one of them: it may hold checks under other headers.
fn is_no_table(sheet: &Sheet, place: &str, rules: &Rules<'_>) -> Result<bool, LoadError> {
    let named = of_sheet(sheet, rules);
    let lacking = lacking_in_text(
        TableText::of_sheet(&sheet.text, place),
        named.as_ref().unwrap_or(rules),
    )?;
    match lacking.as_slice() {
        [] => Ok(false),
        [one] => Err(LoadError::new(
            place,
            format!("the sheet has what checks need but \"{one}\""),
            "Name the sheets that are read, as sheets = [\"…\"] under [checks], or map its header under [checks.columns].",
        )),
        _ => Ok(true),
    }
}

/// The rules for a sheet that has the name of its instrument.
fn of_sheet<'b>(sheet: &'b Sheet, rules: &'b Rules<'_>) -> Option<Rules<'b>> {
    let by_sheet = rules.settings.instrument_from == InstrumentFrom::Sheet;
    by_sheet.then(|| rules.of_instrument(&sheet.name))
}

fn read_sheet(sheet: &Sheet, place: &str, rules: &Rules<'_>) -> Result<FileRows, LoadError> {
    let named = of_sheet(sheet, rules);
    let rules = named.as_ref().unwrap_or(rules);
    // Numbers of a sheet are written as stated; only those stored as text can leave it open.
    let known = rules.settings.decimal_comma.unwrap_or(false);
    let stated = match sheet.texts_leave_open {
        true => rules.settings.decimal_comma,
        false => Some(known),
    };
    let table = TableText::of_sheet(&sheet.text, place);
    let mut rows = by_marks(place, rules, stated, |rules| file::read_rows(table, rules))?;
    sheet
        .notes
        .iter()
        .for_each(|words| rows.1.note(words.clone()));
    Ok(FileRows::of(place, rules, rows))
}

/// What is to be said of sheets that are not read: those `left_out`, beside the ones that are `read`, and the hidden ones.
fn not_read<'s>(
    book: &Book,
    left_out: &[&str],
    read: impl Iterator<Item = &'s str>,
) -> Vec<String> {
    let of_series: BTreeSet<String> = read.filter_map(series).collect();
    let alike = |name: &&str| series(name).is_some_and(|own| of_series.contains(&own));
    let (alike, others): (Vec<&str>, Vec<&str>) = left_out.iter().copied().partition(alike);
    let mut notes = Vec::new();
    if !alike.is_empty() {
        let names = quoted_list(&alike);
        notes.push(format!(
            "sheets that are called like those that are read have other columns and are not read: {names}; where they hold checks, add them in a [[checks.other]] of their own"
        ));
    }
    if !others.is_empty() {
        let names = quoted_list(&others);
        notes.push(format!(
            "sheets without the columns of checks are not read: {names}"
        ));
    }
    if !book.hidden.is_empty() {
        let names = quoted_list(&book.hidden);
        notes.push(format!(
            "hidden sheets are not read: {names}; name them under sheets to read them"
        ));
    }
    notes
}

/// The rows of a file, read by the marks that its cells show: once more where they group
/// thousands.
fn by_marks(
    shown: &str,
    rules: &Rules<'_>,
    stated: Option<bool>,
    read: impl Fn(&Rules<'_>) -> Result<(Vec<Batch>, Matched), LoadError>,
) -> Result<(Vec<Batch>, Matched), LoadError> {
    let (batches, matched) = read(rules)?;
    let header = |column: usize| {
        let place = matched.positions[column];
        place.map_or(String::new(), |i| matched.headers[i].clone())
    };
    let thousands = rules.settings.thousands;
    let mut seen = Seen::default();
    for batch in &batches {
        seen.join(&batch.seen, batch.first_row);
    }
    let marks = seen.column_marks(stated, thousands, shown, header)?;
    match marks == rules.marks {
        true => Ok((batches, matched)),
        false => read(&rules.with_marks(marks)),
    }
}

pub(super) fn read_made(made: &MadeChecks, rules: &Rules<'_>) -> Result<FileRows, LoadError> {
    let path = &made.input.path;
    let table = TableText::of_file(&made.text, path, rules.settings.delimiter);
    let rows = file::read_rows(table, rules)?;
    Ok(FileRows {
        input: Some(made.input.clone()),
        ..FileRows::of(path, rules, rows)
    })
}
