/*! One more check into a person's own CSV file, without ever damaging it.

The new content is written to a file beside it, flushed to the disk and renamed over the
old one, so that a crash leaves either the old or the new file, never half of one. The
person's columns, their order, delimiter, decimal sign, date format, encoding, line ends
and rights stay as they are.
*/

use super::check::{AppendError, NewCheck, NoPlace};
use super::held::{Held, replace};
use super::record_table::RecordTable;
use crate::records::encoding::Encoding;
use crate::records::reading::decoding::decode;
use crate::records::reading::{files, source, workbook};
use crate::records::settings::ChecksSettings;
use std::borrow::Cow;
use std::path::Path;

/// Appends to the CSV file at `path`, all or none, what `added` makes of its content and its name; a file that was
/// not there stands, empty, before it is asked.
///
/// # Errors
/// Those of `added`, and a disk that refuses.
pub(crate) fn append_with(
    path: &Path,
    added: impl FnOnce(&[u8], &str) -> Result<Vec<u8>, AppendError>,
) -> Result<(), AppendError> {
    let file = path.display().to_string();
    let unusable = |what: String| AppendError::unusable(&file, what);
    for (is, kind) in [
        (files::is_parquet(path), "a Parquet file"),
        (workbook::is_workbook(path), "a workbook"),
    ] {
        if is {
            let words = format!("{kind} cannot be appended to; record to a CSV file");
            return Err(AppendError::shape(&file, words));
        }
    }
    // A link stays a link: its target is replaced.
    let target = files::resolved(path);
    let held = Held::open(&target).map_err(|e| unusable(e.to_string()))?;
    let old = source::read(&target, &file).map_err(|e| unusable(e.what))?;
    let written = added(&old, &file)
        .and_then(|added| replace(&target, &old, &added).map_err(|e| unusable(e.to_string())));
    if written.is_err() {
        held.give_up();
    }
    written
}

/// What is added behind `old`: the header of a new file, and one row a check.
///
/// # Errors
/// A duplicate, a file that is no such table, a column it lacks.
pub(crate) fn rows_of(
    old: &[u8],
    checks: &[NewCheck],
    settings: &ChecksSettings,
    file: &str,
) -> Result<Vec<u8>, AppendError> {
    let unusable = |why: NoPlace| AppendError::shape(file, why);
    let text = text_of(old, settings.encoding, file).map_err(unusable)?;
    let table = RecordTable::read(&text, settings, file).map_err(unusable)?;
    table.refuse_duplicates(checks, settings, file)?;
    let lines = table.lines(checks, settings).map_err(unusable)?;
    encoded(&lines, settings.encoding.of(old)).map_err(unusable)
}

/// The content of a file that rows can be added to.
pub(crate) fn text_of<'a>(
    old: &'a [u8],
    encoding: Encoding,
    file: &str,
) -> Result<Cow<'a, str>, NoPlace> {
    if old.starts_with(&[0xFF, 0xFE]) || old.starts_with(&[0xFE, 0xFF]) {
        return Err(NoPlace::Utf16);
    }
    match old.is_empty() {
        true => Ok(Cow::Borrowed("")),
        false => decode(old, encoding, file).map_err(|e| NoPlace::Unreadable(e.what)),
    }
}

pub(crate) fn encoded(text: &str, encoding: Encoding) -> Result<Vec<u8>, NoPlace> {
    encoding
        .encoded(text)
        .map_err(|letter| NoPlace::Letter(letter, encoding.word()))
}

#[cfg(test)]
#[path = "append_tests.rs"]
mod tests;
