/*! What `start` made, and how it is written. */

use std::path::{Path, PathBuf};

/// What `start` made.
#[derive(Debug, Clone)]
pub struct Started {
    /// The pipeline file that was written.
    pub file: PathBuf,
    /// What was guessed and why, what is in doubt, and how the file reads.
    pub explanation: String,
}

/// Why there is no pipeline file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct StartError(pub(super) String);

pub(super) fn write_new(file: &Path, text: &str) -> Result<(), StartError> {
    use std::io::Write;
    let failed = |e: std::io::Error| StartError(format!("error: {}: {e}", file.display()));
    // Fails where the file has come up since the first look.
    let mut out = std::fs::File::create_new(file).map_err(failed)?;
    out.write_all(text.as_bytes()).map_err(failed)
}
