/*! A first look at a person's own file: what its columns mean, and why we think so.

Evidence first: a column counts as dates, numbers or outcomes only where its
content reads as such. Headers come second, by the trade's usual words in a few
languages. What stays ambiguous is said in words, never hidden.
*/

use super::beside::beside;
use super::dates::Clock;
use super::doubt::{Answer, Doubt};
use super::draft::Guess;
use super::layout::wide::dated::is_dated;
use super::letters::{Letters, letters};
use super::looked::{Held, ROWS, samples};
use super::meanings::from_samples;
use super::sample::Sample;
use crate::records::LoadError;
use crate::records::cells::column::Column;
use crate::records::encoding::Encoding;
use crate::records::reading::columnar::parquet_file;
use crate::records::reading::guarded::{PARQUET, guarded};
use crate::records::reading::wide::Written;
use crate::records::reading::workbook::{self, Sheet};
use crate::records::reading::{files, plain_file, source};
use crate::records::settings::words::{Delimiter, InstrumentFrom};
use std::path::Path;

/// How a file is looked at.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sight<'a> {
    /// Days since 1970-01-01.
    pub today: f64,
    /// The sheets of a workbook that are set apart, and not looked at.
    pub apart: &'a [String],
    /// The encoding of a text where a person states it.
    pub stated: Option<Encoding>,
    /// Rows that are looked at.
    pub rows: usize,
}

/// The rows of each of so many files that are looked at: all of them as many as of one file alone, but of each enough
/// to tell what its columns mean.
pub(crate) fn rows_of_each(files: usize) -> usize {
    const FEWEST: usize = 2_000;
    (ROWS / files.max(1)).max(FEWEST)
}

/// Looks at the file at `path`, of a workbook at the sheets but those set apart.
///
/// # Errors
/// A file that is no table.
pub(crate) fn look(path: &Path, sight: Sight<'_>) -> Result<Held, LoadError> {
    let mut held = look_inside(path, sight)?;
    if let Some(stem) = path.file_stem() {
        let name = stem.to_string_lossy();
        held.checks.ask_named_by(InstrumentFrom::File, &name, false);
    }
    Ok(held)
}

/// The encoding of a text, by its bytes.
fn by_letters(bytes: &[u8], shown: &str) -> Result<Letters, LoadError> {
    match source::decode(bytes, Encoding::Utf8, shown) {
        Ok(_) => Ok(Letters {
            encoding: Encoding::Utf8,
            note: "Encoding: UTF-8.".to_string(),
            to_check: None,
            doubt: None,
        }),
        Err(error) => {
            // Binary junk fails here too; then the first error stands.
            let western = source::decode(bytes, Encoding::Latin1, shown)?;
            Ok(letters(bytes, &western, &error.what))
        }
    }
}

fn look_inside(path: &Path, sight: Sight<'_>) -> Result<Held, LoadError> {
    let clock = Clock {
        system: None,
        today: sight.today,
    };
    let shown = path.to_string_lossy();
    if files::is_parquet(path) {
        let look = || look_at_parquet(path, &shown, (clock, sight.rows));
        return guarded(&shown, PARQUET, look);
    }
    if workbook::is_workbook(path) {
        return look_at_workbook(path, &shown, clock, sight);
    }
    let bytes = source::read(path, &shown)?;
    let read = match sight.stated {
        Some(encoding) => Letters {
            encoding,
            note: format!(
                "Encoding: {}, as the pipeline file states.",
                encoding.word()
            ),
            to_check: None,
            doubt: None,
        },
        None => by_letters(&bytes, &shown)?,
    };
    let encoding = read.encoding;
    let text = source::decode(&bytes, encoding, &shown)?;
    let written = Written {
        delimiter: Delimiter::Auto,
        of_sheet: false,
    };
    let mut looked = samples(&text, &shown, written, (clock, sight.rows))?;
    let delimiter = match looked.delimiter {
        b';' => Delimiter::Semicolon,
        b'\t' => Delimiter::Tab,
        b'|' => Delimiter::Bar,
        _ => Delimiter::Comma,
    };
    let mut notes = vec![format!(
        "Delimiter: {}, which splits the rows into {} columns like the header.",
        delimiter_words(delimiter),
        looked.width
    )];
    notes.append(&mut looked.notes);
    let mut held = looked.held((delimiter, encoding), clock, notes);
    held.checks.letters = read.note;
    held.checks.to_check.extend(read.to_check);
    held.checks.doubts.extend(read.doubt);
    Ok(held)
}

/// Looks at the sheets of a workbook: those with the columns of the best one are read.
fn look_at_workbook(
    path: &Path,
    shown: &str,
    clock: Clock,
    sight: Sight<'_>,
) -> Result<Held, LoadError> {
    let bytes = workbook::bytes(path, shown)?;
    let book = first_rows(&bytes, shown, sight.rows)?;
    let clock = Clock {
        system: Some(book.system),
        ..clock
    };
    let looked = |sheet: &Sheet| {
        let written = Written {
            delimiter: Delimiter::Comma,
            of_sheet: true,
        };
        let looked = samples(
            &sheet.text,
            &book.place(shown, sheet),
            written,
            (clock, sight.rows),
        )?;
        let notes = looked.notes.clone();
        let mut held = looked.held((Delimiter::Auto, Encoding::Utf8), clock, notes);
        let notes = sheet.notes.iter().map(|note| format!("{note}."));
        held.checks.to_check.extend(notes);
        for beside in &mut held.beside {
            beside.sheet.clone_from(&sheet.name);
        }
        Ok(held)
    };
    let held: Result<Vec<Held>, LoadError> = book.sheets.iter().map(looked).collect();
    let mut beside = Vec::new();
    let mut looked: Vec<(&Sheet, Guess)> = Vec::new();
    for (sheet, held) in book.sheets.iter().zip(held?) {
        beside.extend(held.beside);
        if !sight.apart.contains(&sheet.name) {
            looked.push((sheet, held.checks));
        }
    }
    ask_named_by_sheets(&mut looked);
    let mut guess = of_sheets(looked).ok_or_else(|| book.nothing(shown))?;
    let read = |sheet: &&Sheet| guess.sheets.contains(&sheet.name);
    let in_order = book.sheets.iter().filter(read);
    guess.sheets = in_order.map(|sheet| sheet.name.clone()).collect();
    let sheets = guess.sheets.join(", ");
    let format = format!("Format: workbook; sheets read: {sheets}.");
    guess.notes.insert(0, format);
    for name in &book.hidden {
        guess.to_check.push(format!(
            "Sheet \"{name}\" is hidden and not read; name it under sheets where it is meant."
        ));
    }
    Ok(Held {
        checks: guess,
        beside,
    })
}

/// The first rows of a workbook, their numbers with a comma where its texts have one.
fn first_rows(bytes: &[u8], shown: &str, rows: usize) -> Result<workbook::Book, LoadError> {
    let wanted = workbook::Wanted {
        sheets: &[],
        comma: false,
        most_mb: plain_file::LARGEST_UNPACKED_MB,
        rows: Some(rows as u32),
    };
    let book = workbook::read(bytes, shown, wanted)?;
    match book.sheets.iter().any(|sheet| sheet.texts_have_comma) {
        true => workbook::read(
            bytes,
            shown,
            workbook::Wanted {
                comma: true,
                ..wanted
            },
        ),
        false => Ok(book),
    }
}

/// Asks whether each sheet is one instrument's own, where several hold checks and none names instruments.
fn ask_named_by_sheets(looked: &mut [(&Sheet, Guess)]) {
    let whole = |guess: &Guess| guess.missing().iter().all(|c| *c == Column::Instrument);
    let checks = || looked.iter().filter(|(_, guess)| whole(guess));
    // A year, or a month, is when the checks were, where a column could name the instruments.
    let named = |guess: &Guess| guess.missing().is_empty();
    let times = checks().all(|(sheet, guess)| named(guess) && is_dated(&sheet.name));
    if checks().count() < 2
        || times
        || looked
            .iter()
            .any(|(_, guess)| guess.heads_instruments() && guess.missing().is_empty())
    {
        return;
    }
    for (sheet, guess) in looked {
        guess.ask_named_by(InstrumentFrom::Sheet, &sheet.name, true);
    }
}

/// The sheets as one: that with the fewest needed columns missing (the first of equals) and those
/// with its columns are read, and the others named; `None` without a sheet.
fn of_sheets(mut looked: Vec<(&Sheet, Guess)>) -> Option<Guess> {
    looked.sort_by_key(|(_, guess)| guess.missing().len());
    let mut rest = looked.into_iter();
    let (first, mut guess) = rest.next()?;
    let (alike, others): (Vec<_>, Vec<_>) =
        rest.partition(|(_, other)| other.missing().is_empty() && other.columns_alike(&guess));
    guess.sheets = vec![first.name.clone()];
    for (sheet, other) in alike {
        guess.sheets.push(sheet.name.clone());
        guess.join_settings(&other, &format!("Sheet \"{}\"", sheet.name));
        guess.instruments.extend(other.instruments);
        let of_numbers = |line: &String| line.starts_with(char::is_numeric);
        guess
            .to_check
            .extend(other.to_check.into_iter().filter(of_numbers));
    }
    let mut unread = Vec::new();
    for (sheet, other) in others {
        let missing: Vec<&str> = other.missing().iter().map(|c| c.name()).collect();
        let why = match missing.as_slice() {
            [] => {
                unread.push(format!("\"{}\"", sheet.name));
                "its columns are others".to_string()
            }
            missing => format!("no column was found for {}", missing.join(", ")),
        };
        let line = format!("Sheet \"{}\" is not read: {why}.", sheet.name);
        guess.to_check.push(line);
    }
    if !unread.is_empty() {
        let words = format!(
            "Sheets that seem to hold checks under other headers are not read: {}. A [[checks.other]] with this file, their names under sheets and their own columns reads them.",
            unread.join(", ")
        );
        let doubt = Doubt::new("sheets_not_read", words);
        let doubt = doubt.or("they hold no checks, and the others count", Answer::AsTaken);
        guess.doubts.push(doubt);
    }
    Some(guess)
}

fn look_at_parquet(
    path: &Path,
    shown: &str,
    (clock, most): (Clock, usize),
) -> Result<Held, LoadError> {
    let headers = parquet_file::headers(path, shown)?;
    let no_cells = parquet_file::no_cells(path, shown)?;
    let wanted: Vec<(Option<&str>, bool)> = headers
        .iter()
        .zip(&no_cells)
        .map(|(header, held)| (held.is_none().then_some(header.as_str()), false))
        .collect();
    let (rows, columns) = parquet_file::read_columns(path, shown, &wanted)?;
    let mut samples: Vec<Sample> = headers.iter().map(|h| Sample::new(h)).collect();
    for (sample, column) in samples.iter_mut().zip(&columns) {
        let Some(column) = column else { continue };
        for row in 0..rows.min(most) {
            sample.add(&column.field(row).text());
        }
    }
    let mut notes = vec!["Format: Parquet.".to_string()];
    notes.extend(headers.iter().zip(&no_cells).filter_map(|(header, held)| {
        held.map(|held| format!("Column \"{header}\" holds {held} and cannot be read."))
    }));
    let form = (Delimiter::Auto, Encoding::Utf8);
    let checks = from_samples(&samples, form, clock, notes);
    let beside = beside(&samples, &checks, clock).into_iter().collect();
    Ok(Held { checks, beside })
}

fn delimiter_words(delimiter: Delimiter) -> &'static str {
    match delimiter {
        Delimiter::Semicolon => "semicolon",
        Delimiter::Tab => "tab",
        Delimiter::Bar => "vertical bar",
        Delimiter::Comma | Delimiter::Auto => "comma",
    }
}

#[cfg(test)]
#[path = "guess_tests.rs"]
mod tests;
