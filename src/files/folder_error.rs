/*! Why a run folder cannot be used, and the names beside it. */

use std::ffi::OsString;
use std::io;
use std::path::{Path, PathBuf};

/// Why a run folder cannot be used.
#[derive(Debug, thiserror::Error)]
pub(crate) enum FolderError {
    /// The folder holds something that no run wrote.
    #[error(
        "{folder} holds {name:?}, which Driftbook did not write; choose another --out or move it away"
    )]
    Foreign {
        /// The folder asked for.
        folder: PathBuf,
        /// The first name in it that is not ours.
        name: String,
    },
    /// The folder holds a report without a list of its files.
    #[error(
        "{0} holds a report whose run.json does not list its files (an older version wrote it, or it was changed), \
         so that they cannot be told from yours; choose another --out or move it away"
    )]
    Unlisted(PathBuf),
    /// The folder holds what the run reads.
    #[error("{folder} holds {input}, which this run reads; choose another --out")]
    HoldsInput {
        /// The folder asked for.
        folder: PathBuf,
        /// What is read.
        input: PathBuf,
    },
    /// The path cannot be that of a folder.
    #[error("{path} {what}; --out takes a folder")]
    NoFolder {
        /// The path asked for.
        path: PathBuf,
        what: &'static str,
    },
    /// Another run is writing the same folder.
    #[error("another run is writing {0}; wait for it, or choose another --out")]
    Busy(PathBuf),
    /// The system refused.
    #[error("cannot {action} {path}: {source}")]
    System {
        /// What was tried.
        action: &'static str,
        /// Where.
        path: PathBuf,
        /// The system's word.
        source: io::Error,
    },
}

pub(super) fn system(action: &'static str, path: &Path) -> impl FnOnce(io::Error) -> FolderError {
    let path = path.to_path_buf();
    move |source| FolderError::System {
        action,
        path,
        source,
    }
}

/// The hidden name beside `target` that ends with `suffix`.
pub(super) fn sibling(target: &Path, suffix: &str) -> PathBuf {
    let mut name = OsString::from(".");
    name.push(target.file_name().unwrap_or_default());
    name.push(".");
    name.push(suffix);
    target.with_file_name(name)
}
