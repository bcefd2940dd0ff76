/*! One more check into a person's own CSV file, without ever damaging it.

The new content is written to a file beside it, flushed to the disk and renamed over the
old one, so that a crash leaves either the old or the new file, never half of one. The
person's columns, their order, delimiter, decimal sign, date format, encoding, line ends
and rights stay as they are.
*/

use super::column::Column;
use super::date::DateFormat;
use super::settings::{ChecksSettings, Encoding};
use super::source;
use super::{CheckKind, Event};
use chrono::DateTime;
use std::fs::File;
use std::io::Write;
use std::path::{Path, PathBuf};

/// A check to append; values not stated are NaN, texts empty.
#[derive(Debug, Clone, PartialEq)]
pub struct NewCheck {
    /// Instrument.
    pub instrument: String,
    /// Point.
    pub point: String,
    /// Days since 1970-01-01, with the time of day as fraction.
    pub date: f64,
    /// Value as found: the error, or the value where `nominal` is stated.
    pub as_found: f64,
    /// Value as left.
    pub as_left: f64,
    /// Nominal value; NaN where none.
    pub nominal: f64,
    /// Standard uncertainty, random part.
    pub u: f64,
    /// Shared standard uncertainty.
    pub u_common: f64,
    /// Cumulative use.
    pub usage: f64,
    /// Event.
    pub event: Event,
    /// Kind.
    pub kind: CheckKind,
    /// Unit.
    pub unit: String,
}

/// Why nothing was appended; the file is untouched.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AppendError {
    /// The check is there already.
    #[error(
        "{file}: {instrument} {point} of {date} is recorded already (row {row}); nothing was added"
    )]
    Duplicate {
        /// The file.
        file: String,
        /// Instrument.
        instrument: String,
        /// Point.
        point: String,
        /// Date as written.
        date: String,
        /// Row number; 1 is the first line after the header.
        row: usize,
    },
    /// The file cannot take it.
    #[error("{file}: {what}; nothing was added")]
    Unusable {
        /// The file.
        file: String,
        /// What is wrong and the mend.
        what: String,
    },
}

/// Appends `check` to the CSV file at `path`; creates it with our own columns where it
/// does not exist.
///
/// # Errors
/// A duplicate, a file that is no such table, a column it lacks, a disk that refuses.
pub fn append(path: &Path, check: &NewCheck, settings: &ChecksSettings) -> Result<(), AppendError> {
    let file = path.display().to_string();
    let unusable = |what: String| AppendError::Unusable {
        file: file.clone(),
        what,
    };
    if super::files::is_parquet(path) {
        return Err(unusable(
            "a Parquet file cannot be appended to; record to a CSV file".into(),
        ));
    }
    // A link stays a link: its target is replaced.
    let target = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let lock = locked(&target).map_err(|e| unusable(e.to_string()))?;
    let bytes = match &lock {
        Some(_) => source::read(&target, &file).map_err(|e| unusable(e.what))?,
        None => Vec::new(),
    };
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        return Err(unusable(
            "a UTF-16 file cannot be appended to; save it as UTF-8".into(),
        ));
    }
    let text = match bytes.is_empty() {
        true => std::borrow::Cow::Borrowed(""),
        false => source::decode(&bytes, settings.encoding, &file).map_err(|e| unusable(e.what))?,
    };
    let table = Table::read(&text, settings).map_err(unusable)?;
    table.refuse_duplicate(check, settings, &file)?;
    let line = table.line(check, settings).map_err(unusable)?;
    let added = encoded(&line, settings.encoding).map_err(unusable)?;
    replace(&target, &bytes, &added).map_err(|e| unusable(e.to_string()))
}

/// The file, locked against another run of this command; `None` where it does not exist.
fn locked(path: &Path) -> std::io::Result<Option<File>> {
    loop {
        let file = match File::open(path) {
            Ok(file) => file,
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(None),
            Err(e) => return Err(e),
        };
        file.lock()?;
        // Another run may have renamed a new file into place while this one waited.
        if is_same(&file, path)? {
            return Ok(Some(file));
        }
    }
}

#[cfg(unix)]
fn is_same(file: &File, path: &Path) -> std::io::Result<bool> {
    use std::os::unix::fs::MetadataExt;
    let (held, there) = (file.metadata()?, std::fs::metadata(path)?);
    Ok(held.ino() == there.ino() && held.dev() == there.dev())
}

#[cfg(not(unix))]
fn is_same(_: &File, _: &Path) -> std::io::Result<bool> {
    Ok(true)
}

fn replace(target: &Path, old: &[u8], added: &[u8]) -> std::io::Result<()> {
    let folder = match target.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
        _ => PathBuf::from("."),
    };
    let mut fresh = tempfile::NamedTempFile::new_in(&folder)?;
    fresh.write_all(old)?;
    fresh.write_all(added)?;
    fresh.as_file().sync_all()?;
    if let Ok(metadata) = std::fs::metadata(target) {
        fresh.as_file().set_permissions(metadata.permissions())?;
    }
    fresh.persist(target)?;
    Ok(())
}

fn encoded(text: &str, encoding: Encoding) -> Result<Vec<u8>, String> {
    match encoding {
        Encoding::Utf8 => Ok(text.as_bytes().to_vec()),
        Encoding::Latin1 => text
            .chars()
            .map(|c| {
                u8::try_from(u32::from(c)).map_err(|_| format!("{c} does not exist in latin-1"))
            })
            .collect(),
    }
}

/// A CSV text with the places of our columns.
struct Table<'a> {
    text: &'a str,
    delimiter: u8,
    line_end: &'static str,
    header: Vec<String>,
    places: [Option<usize>; super::column::COLUMN_COUNT],
}

impl<'a> Table<'a> {
    fn read(text: &'a str, settings: &ChecksSettings) -> Result<Self, String> {
        let first = text
            .lines()
            .next()
            .unwrap_or("")
            .trim_start_matches('\u{feff}');
        let delimiter = settings
            .delimiter
            .byte()
            .unwrap_or_else(|| most_frequent(first));
        let names: Vec<String> = Column::ALL
            .iter()
            .zip(settings.columns.headers())
            .map(|(column, own)| own.unwrap_or(column.name()).to_string())
            .collect();
        let header = if text.is_empty() {
            names.clone()
        } else {
            fields(first, delimiter)?
        };
        let mut places = [None; super::column::COLUMN_COUNT];
        for (place, name) in places.iter_mut().zip(&names) {
            *place = header.iter().position(|h| h.trim() == name);
        }
        for needed in [Column::Instrument, Column::Date, Column::AsFound] {
            if places[needed.index()].is_none() {
                return Err(format!(
                    "no column {}; is this the records file, and are its headers named under [checks.columns]?",
                    names[needed.index()]
                ));
            }
        }
        Ok(Self {
            text,
            delimiter,
            line_end: if text.contains("\r\n") { "\r\n" } else { "\n" },
            header,
            places,
        })
    }

    fn refuse_duplicate(
        &self,
        check: &NewCheck,
        settings: &ChecksSettings,
        file: &str,
    ) -> Result<(), AppendError> {
        let dates = DateFormat::from_setting(&settings.date_format);
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(self.delimiter)
            .flexible(true)
            .from_reader(self.text.as_bytes());
        for (index, record) in reader.records().enumerate() {
            let record = record.map_err(|e| AppendError::Unusable {
                file: file.to_string(),
                what: e.to_string(),
            })?;
            let of = |column: Column| {
                self.places[column.index()]
                    .and_then(|i| record.get(i))
                    .unwrap_or("")
                    .trim()
            };
            // To the minute: a date without a time is the whole day's check.
            let same_date = dates
                .parse(of(Column::Date))
                .is_some_and(|d| (d - check.date).abs() < 0.5 / 1440.0);
            if same_date
                && of(Column::Instrument) == check.instrument
                && of(Column::Point) == check.point
            {
                return Err(AppendError::Duplicate {
                    file: file.to_string(),
                    instrument: check.instrument.clone(),
                    point: check.point.clone(),
                    date: of(Column::Date).to_string(),
                    row: index + 1,
                });
            }
        }
        Ok(())
    }

    /// What is appended: a line end where the file lacks one, the header for a new file,
    /// and the row.
    fn line(&self, check: &NewCheck, settings: &ChecksSettings) -> Result<String, String> {
        let mut row = vec![String::new(); self.header.len()];
        for column in Column::ALL {
            let cell = cell(check, column, settings)?;
            match self.places[column.index()] {
                Some(place) => row[place] = cell,
                None if cell.is_empty() || column == Column::Kind => {}
                None => {
                    return Err(format!(
                        "the check states {} but the file has no such column; add the column or leave it out",
                        column.name()
                    ));
                }
            }
        }
        let mut text = String::new();
        if self.text.is_empty() {
            text += &(joined(&self.header, self.delimiter)? + self.line_end);
        } else if !self.text.ends_with('\n') {
            text += self.line_end;
        }
        Ok(text + &joined(&row, self.delimiter)? + self.line_end)
    }
}

fn cell(check: &NewCheck, column: Column, settings: &ChecksSettings) -> Result<String, String> {
    let number = |value: f64| match value.is_finite() {
        true if settings.decimal_comma => value.to_string().replace('.', ","),
        true => value.to_string(),
        false => String::new(),
    };
    Ok(match column {
        Column::Instrument => check.instrument.clone(),
        Column::Point => check.point.clone(),
        Column::Date => date_text(check.date, &settings.date_format)?,
        Column::AsFound => number(check.as_found),
        Column::AsLeft => number(check.as_left),
        Column::Nominal => number(check.nominal),
        // The file may keep expanded uncertainties.
        Column::U => number(check.u * settings.coverage_factor),
        Column::UCommon => number(check.u_common),
        Column::Usage => number(check.usage),
        Column::Event => check.event.word().to_string(),
        Column::Kind => match check.kind {
            CheckKind::Unstated => String::new(),
            CheckKind::Check => "check".into(),
            CheckKind::Calibration => "calibration".into(),
        },
        Column::Unit => check.unit.clone(),
        Column::Lower | Column::Upper | Column::InTolerance => String::new(),
    })
}

fn date_text(days: f64, format: &str) -> Result<String, String> {
    if format.is_empty() {
        return Ok(super::date::iso(days).replace(' ', "T"));
    }
    DateTime::from_timestamp((days * 86_400.0).round() as i64, 0)
        .map(|moment| moment.naive_utc().format(format).to_string())
        .ok_or_else(|| format!("{days} days since 1970 is no date"))
}

fn most_frequent(header: &str) -> u8 {
    let count = |byte: u8| header.bytes().filter(|b| *b == byte).count();
    [b',', b';', b'\t']
        .into_iter()
        .rev()
        .max_by_key(|byte| count(*byte))
        .unwrap_or(b',')
}

fn fields(line: &str, delimiter: u8) -> Result<Vec<String>, String> {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .from_reader(line.as_bytes());
    match reader.records().next() {
        Some(Ok(record)) => Ok(record.iter().map(str::to_string).collect()),
        Some(Err(e)) => Err(e.to_string()),
        None => Err("the file has no header".into()),
    }
}

fn joined(row: &[String], delimiter: u8) -> Result<String, String> {
    let mut writer = csv::WriterBuilder::new()
        .delimiter(delimiter)
        .from_writer(Vec::new());
    writer.write_record(row).map_err(|e| e.to_string())?;
    let bytes = writer.into_inner().map_err(|e| e.to_string())?;
    let text = String::from_utf8(bytes).map_err(|e| e.to_string())?;
    Ok(text.trim_end_matches('\n').to_string())
}

#[cfg(test)]
#[path = "append_tests.rs"]
mod tests;
