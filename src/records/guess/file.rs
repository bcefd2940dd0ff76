/*! A first look at a person's own file: what its columns mean, and why we think so.

Evidence first: a column counts as dates, numbers or outcomes only where its
content reads as such. Headers come second, by the trade's usual words in a few
languages. What stays ambiguous is said in words, never hidden.
*/

use super::beside::beside;
use super::dates::Clock;
use super::letters::{Letters, letters};
use super::looked::{Held, samples};
use super::meanings::from_samples;
use super::sample::Sample;
use super::sheets::look_at_workbook;
use super::sight::Sight;
use crate::records::LoadError;
use crate::records::encoding::Encoding;
use crate::records::reading::columnar::parquet_file;
use crate::records::reading::csv::text::TableText;
use crate::records::reading::decoding::decode;
use crate::records::reading::guarded::{PARQUET, guarded};
use crate::records::reading::{files, source, workbook};
use crate::records::settings::words::{Delimiter, InstrumentFrom};
use std::path::Path;

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
    match decode(bytes, Encoding::Utf8, shown) {
        Ok(_) => Ok(Letters {
            encoding: Encoding::Utf8,
            note: "Encoding: UTF-8.".to_string(),
            to_check: None,
            doubt: None,
        }),
        Err(error) => {
            // Binary junk fails here too; then the first error stands.
            let western = decode(bytes, Encoding::Latin1, shown)?;
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
    let text = decode(&bytes, encoding, &shown)?;
    let table = TableText::of_file(&text, &shown, Delimiter::Auto);
    let mut looked = samples(table, (clock, sight.rows))?;
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
