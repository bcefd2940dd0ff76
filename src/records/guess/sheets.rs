/*! A first look at a workbook: which of its sheets hold checks, and in which form. */

use super::dates::Clock;
use super::doubt::{Answer, Doubt, SHEETS_NOT_READ};
use super::draft::Guess;
use super::layout::wide::dated::is_dated;
use super::looked::{Held, samples};
use super::sight::Sight;
use crate::records::LoadError;
use crate::records::cells::column::Column;
use crate::records::encoding::Encoding;
use crate::records::reading::csv::text::TableText;
use crate::records::reading::plain_file;
use crate::records::reading::workbook::{self, Sheet};
use crate::records::settings::words::{Delimiter, InstrumentFrom};
use std::path::Path;

/// Looks at the sheets of a workbook: those with the columns of the best one are read.
pub(super) fn look_at_workbook(
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
        let place = book.place(shown, sheet);
        let table = TableText::of_sheet(&sheet.text, &place);
        let looked = samples(table, (clock, sight.rows))?;
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
        let doubt = Doubt::new(SHEETS_NOT_READ, words);
        let doubt = doubt.or("they hold no checks, and the others count", Answer::AsTaken);
        guess.doubts.push(doubt);
    }
    Some(guess)
}
