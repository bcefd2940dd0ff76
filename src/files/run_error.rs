/*! Why a run ended without a report. */

use crate::files::folder_error::FolderError;
use crate::records::{LoadError, LostFailures};

/// Why a run ended without a report.
#[derive(Debug, thiserror::Error)]
pub(crate) enum RunError {
    /// The records cannot be read.
    #[error(transparent)]
    Records(#[from] LoadError),
    /// Failures or adjustments are among the rejected rows.
    #[error(transparent)]
    LostFailures(#[from] LostFailures),
    /// The run folder cannot be used.
    #[error(transparent)]
    Folder(#[from] FolderError),
    /// The run folder holds the report of another pipeline.
    #[error(
        "the report in {folder} was made by {pipeline}: two pipelines would replace each other's reports\nhelp: name another folder under [output], or with --out; --force takes this one over"
    )]
    OtherPipeline {
        folder: String,
        /// The pipeline that made its report.
        pipeline: String,
    },
    /// A settings file of a study cannot be used.
    #[error("{file} cannot be used: {why}")]
    Settings {
        file: String,
        /// What is wrong with it.
        why: String,
    },
    /// A file of the report cannot be written.
    #[error("cannot write {file}: {why}")]
    Write {
        file: String,
        /// The system's word.
        why: String,
    },
}

impl RunError {
    /// A file that could not be written.
    pub(crate) fn write(file: impl Into<String>, why: impl ToString) -> Self {
        Self::Write {
            file: file.into(),
            why: why.to_string(),
        }
    }
}
