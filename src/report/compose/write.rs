/*! The small files of a report: JSON and text. */

use crate::files::own_files::OwnFiles;
use crate::files::run_error::RunError;
use crate::records::reading::own_report::{RECORD, TIMINGS};
use std::path::Path;

/// The report's files, all written but the record itself and the timings.
///
/// # Errors
/// A folder that cannot be read.
pub(crate) fn own_files(folder: &Path) -> Result<OwnFiles, RunError> {
    OwnFiles::of(folder, &[RECORD, TIMINGS]).map_err(|why| RunError::write(RECORD, why))
}

/// Writes a pretty JSON file.
pub(crate) fn write_json(
    folder: &Path,
    name: &str,
    value: &impl serde::Serialize,
) -> Result<(), RunError> {
    let mut text = serde_json::to_string_pretty(value).map_err(|e| RunError::write(name, e))?;
    text.push('\n');
    write_text(folder, name, &text)
}

/// Writes a text file.
pub(crate) fn write_text(folder: &Path, name: &str, text: &str) -> Result<(), RunError> {
    std::fs::write(folder.join(name), text).map_err(|e| RunError::write(name, e))
}
