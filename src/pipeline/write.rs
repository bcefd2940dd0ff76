/*! The small files of a report: JSON and text. */

use super::run_error::RunError;
use std::path::Path;

/// Writes a pretty JSON file.
pub fn write_json(
    folder: &Path,
    name: &str,
    value: &impl serde::Serialize,
) -> Result<(), RunError> {
    let mut text = serde_json::to_string_pretty(value).map_err(|e| RunError::write(name, e))?;
    text.push('\n');
    write_text(folder, name, &text)
}

/// Writes a text file.
pub fn write_text(folder: &Path, name: &str, text: &str) -> Result<(), RunError> {
    std::fs::write(folder.join(name), text).map_err(|e| RunError::write(name, e))
}
