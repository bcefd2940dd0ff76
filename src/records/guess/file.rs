/*! A first look at a person's own file: what its columns mean, and why we think so.

Evidence first: a column counts as dates, numbers or outcomes only where its
content reads as such. Headers come second, by the trade's usual words in a few
languages. What stays ambiguous is said in words, never hidden.
*/

use super::columns::{Sample, about_unread_uncertainty, columns};
use super::dates::date_format;
pub use super::draft::{Guess, Guessed};
use crate::records::LoadError;
use crate::records::cells::column::Column;
use crate::records::cells::marks::Seen;
use crate::records::reading::csv_records::{Next, Records};
use crate::records::reading::csv_text::split_header;
use crate::records::reading::{files, parquet_file, source};
use crate::records::settings::{Delimiter, Encoding};
use csv::StringRecord;
use std::path::Path;

/// Rows that are looked at.
const ROWS: usize = 20_000;

/// Looks at the file at `path`.
///
/// # Errors
/// A file that is no table.
pub fn guess(path: &Path) -> Result<Guess, LoadError> {
    let shown = path.to_string_lossy();
    if files::is_parquet(path) {
        return parquet_file::guarded(&shown, || guess_parquet(path, &shown));
    }
    let bytes = source::read(path, &shown)?;
    let (encoding, encoding_note) = match source::decode(&bytes, Encoding::Utf8, &shown) {
        Ok(_) => (Encoding::Utf8, "Encoding: UTF-8.".to_string()),
        Err(error) => {
            // Binary junk fails here too; then the first error stands.
            source::decode(&bytes, Encoding::Latin1, &shown)?;
            (
                Encoding::Latin1,
                format!("Encoding: Latin-1, since {}.", error.what),
            )
        }
    };
    let text = source::decode(&bytes, encoding, &shown)?;
    let split = split_header(&text, Delimiter::Auto, &shown)?;
    let width = split.header.len();
    let mut samples: Vec<Sample> = split.header.iter().map(|h| Sample::new(h)).collect();
    let mut records = Records::new(split.body, split.delimiter, width, &shown);
    let mut record = StringRecord::new();
    for _ in 0..ROWS {
        let next = records.next(&mut record)?;
        if next == Next::End {
            break;
        }
        if next == Next::Row && record.len() == width {
            for (sample, field) in samples.iter_mut().zip(&record) {
                sample.add(field);
            }
        }
    }
    let delimiter = match split.delimiter {
        b';' => Delimiter::Semicolon,
        b'\t' => Delimiter::Tab,
        _ => Delimiter::Comma,
    };
    let notes = vec![
        encoding_note,
        format!(
            "Delimiter: {}, which splits the rows into {width} columns like the header.",
            delimiter_words(delimiter)
        ),
    ];
    Ok(from_samples(&samples, delimiter, encoding, notes))
}

fn guess_parquet(path: &Path, shown: &str) -> Result<Guess, LoadError> {
    let headers = parquet_file::headers(path, shown)?;
    let wanted: Vec<(Option<&str>, bool)> =
        headers.iter().map(|h| (Some(h.as_str()), false)).collect();
    let (rows, columns) = parquet_file::read_columns(path, shown, &wanted)?;
    let mut samples: Vec<Sample> = headers.iter().map(|h| Sample::new(h)).collect();
    for (sample, column) in samples.iter_mut().zip(columns.iter().flatten()) {
        for row in 0..rows.min(ROWS) {
            sample.add(&column.field(row).text());
        }
    }
    let notes = vec!["Format: Parquet.".to_string()];
    Ok(from_samples(
        &samples,
        Delimiter::Auto,
        Encoding::Utf8,
        notes,
    ))
}

fn from_samples(
    samples: &[Sample],
    delimiter: Delimiter,
    encoding: Encoding,
    notes: Vec<String>,
) -> Guess {
    let mut guess = Guess {
        delimiter,
        encoding,
        decimal_comma: false,
        date_format: String::new(),
        coverage_factor: 1.0,
        unit: String::new(),
        off: Vec::new(),
        to_state: Vec::new(),
        columns: Vec::new(),
        ignored: Vec::new(),
        notes,
        doubts: Vec::new(),
    };
    decimal_mark(samples, &mut guess);
    let dates = samples
        .iter()
        .map(|s| date_format(s.values()))
        .collect::<Vec<_>>();
    columns(samples, &dates, &mut guess);
    let date = guess.columns.iter().find(|g| g.column == Column::Date);
    let place = date.and_then(|g| samples.iter().position(|s| s.header == g.header));
    if let Some(found) = place.and_then(|i| dates[i].clone()) {
        guess.notes.push(format!("Dates: {}.", found.why));
        guess.doubts.extend(found.doubt);
        guess.date_format = found.format;
    }
    let used = |header: &String| guess.columns.iter().any(|g| &g.header == header);
    guess.ignored = samples
        .iter()
        .map(|s| s.header.clone())
        .filter(|h| !used(h))
        .collect();
    about_unread_uncertainty(&mut guess);
    guess
}

/// Comma or point, by the numbers that can be read one way alone.
fn decimal_mark(samples: &[Sample], guess: &mut Guess) {
    let cells = samples.iter().enumerate();
    let cells = cells.flat_map(|(i, sample)| sample.values().map(move |v| (i, 0, v)));
    let seen = Seen::of_cells(samples.len(), cells);
    let (mut commas, mut points) = (0, 0);
    for value in samples.iter().flat_map(Sample::values) {
        let one = Seen::of_cells(1, std::iter::once((0, 0, value)));
        commas += usize::from(one.decimal_comma() == Some(true));
        points += usize::from(one.decimal_comma() == Some(false));
    }
    guess.decimal_comma = seen.decimal_comma().unwrap_or(commas > points);
    guess.notes.push(match (commas, points) {
        (0, 0) => "Decimal sign: no number shows it; a point is expected.".to_string(),
        (0, n) => format!("Decimal sign: point, in {n} numbers."),
        (n, 0) => format!("Decimal sign: comma, in {n} numbers."),
        (c, p) => {
            guess.doubts.push(format!(
                "{c} numbers have a comma and {p} a point; rows with the rarer sign will be rejected."
            ));
            format!("Decimal sign: {}, the more frequent.", if c > p { "comma" } else { "point" })
        }
    });
}

fn delimiter_words(delimiter: Delimiter) -> &'static str {
    match delimiter {
        Delimiter::Semicolon => "semicolon",
        Delimiter::Tab => "tab",
        Delimiter::Comma | Delimiter::Auto => "comma",
    }
}

#[cfg(test)]
#[path = "guess_tests.rs"]
mod tests;
