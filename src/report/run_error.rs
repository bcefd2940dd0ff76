/*! Why a run ended without a report. */

use crate::records::{LoadError, LostFailures};
use crate::report::folder_error::FolderError;

/// Why a run ended without a report.
#[derive(Debug, thiserror::Error)]
pub enum RunError {
    /// The records cannot be read.
    #[error(transparent)]
    Records(#[from] LoadError),
    /// Failures or adjustments are among the rejected rows.
    #[error(transparent)]
    LostFailures(#[from] LostFailures),
    /// The run folder cannot be used.
    #[error(transparent)]
    Folder(#[from] FolderError),
    /// A settings file of a study cannot be used.
    #[error("{file} cannot be used: {why}")]
    Settings {
        /// The file.
        file: String,
        /// What is wrong with it.
        why: String,
    },
    /// A file of the report cannot be written.
    #[error("cannot write {file}: {why}")]
    Write {
        /// The file.
        file: String,
        /// The system's word.
        why: String,
    },
}

impl RunError {
    /// A file that could not be written.
    pub fn write(file: impl Into<String>, why: impl ToString) -> Self {
        Self::Write {
            file: file.into(),
            why: why.to_string(),
        }
    }
}
