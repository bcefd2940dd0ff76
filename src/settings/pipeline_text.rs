/*! The text of a pipeline file, or why it cannot be read. */

use super::plan::PlanError;
use crate::records::reading::plain_file;
use std::path::Path;

/// Longest pipeline file that is read, megabytes.
const LONGEST_FILE_MB: u32 = 1;

/// Reads the text of a pipeline file.
///
/// # Errors
/// No such file, one that is too long or not UTF-8.
pub(crate) fn read(path: &Path) -> Result<String, PlanError> {
    let shown = path.display();
    let failed = |e: std::io::Error| {
        PlanError(match e.kind() {
            std::io::ErrorKind::NotFound => format!(
                "error: {shown}: no such file\nhelp: driftbook start RECORDS.csv writes a pipeline file"
            ),
            _ => format!("error: {shown}: cannot be read: {e}"),
        })
    };
    let bytes = plain_file::read(path, LONGEST_FILE_MB).map_err(failed)?;
    let text = String::from_utf8(bytes).map_err(|e| {
        let valid = &e.as_bytes()[..e.utf8_error().valid_up_to()];
        let line = memchr::memchr_iter(b'\n', valid).count() + 1;
        PlanError(format!(
            "error: {shown}, line {line}: not UTF-8\nhelp: save the pipeline file as UTF-8"
        ))
    })?;
    Ok(text
        .strip_prefix('\u{feff}')
        .map(str::to_string)
        .unwrap_or(text))
}
