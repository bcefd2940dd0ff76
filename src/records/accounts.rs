/*! What happened to every row: used, merged or rejected, and what looked odd. */

use super::Histories;
use std::borrow::Cow;
use std::fmt;
use std::sync::Arc;

/// A row that could not be used, as `rejects.csv` lists it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reject {
    /// Input file, as given.
    pub file: Arc<str>,
    /// Row number; 1 is the first line after the header, a quoted line break stays in its row.
    pub row: u32,
    /// Header of the column at fault in that file; empty where the whole row is.
    pub column: Arc<str>,
    /// What stands there.
    pub value: String,
    /// Why the row cannot be used.
    pub reason: Cow<'static, str>,
}

/// Data that is used but deserves a look.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warning {
    /// Where: a file, a file and row, or a history.
    pub source: String,
    /// What looks odd, and what was done with it.
    pub words: String,
}

impl Warning {
    /// Builds a warning.
    pub fn new(source: impl Into<String>, words: impl Into<String>) -> Self {
        Self {
            source: source.into(),
            words: words.into(),
        }
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.source.as_str() {
            "" => write!(f, "{}", self.words),
            source => write!(f, "{source}: {}", self.words),
        }
    }
}

/// An input file of the run record.
#[derive(Debug, Clone, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct InputFile {
    /// Path as given, relative to the pipeline file.
    pub path: String,
    /// Size.
    pub bytes: u64,
    /// SHA-256 of the content, hexadecimal.
    pub sha256: String,
}

/// Row accounts: `read = used + merged + rejected`, always.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
pub struct RowCounts {
    /// Rows of all checks files (blank lines are no rows).
    pub read: u64,
    /// Rows that became checks.
    pub used: u64,
    /// Rows merged into another: copies, and averaged repeats.
    pub merged: u64,
    /// Rows listed in the rejects.
    pub rejected: u64,
}

/// Everything that came out of the records.
#[derive(Debug, Clone, Default)]
pub struct Loaded {
    /// The usable checks.
    pub histories: Histories,
    /// The unusable rows, in order of file and row.
    pub rejects: Vec<Reject>,
    /// What looked odd.
    pub warnings: Vec<Warning>,
    /// The files that were read, checks first, in order.
    pub inputs: Vec<InputFile>,
    /// Row accounts of the checks.
    pub rows: RowCounts,
}

/// Records that cannot be read at all.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{place}: {what}\n  {mend}")]
pub struct LoadError {
    /// File, and line where there is one.
    pub place: String,
    /// What is wrong.
    pub what: String,
    /// What to do about it.
    pub mend: String,
}

impl LoadError {
    /// Builds the error.
    pub fn new(place: impl Into<String>, what: impl Into<String>, mend: impl Into<String>) -> Self {
        Self {
            place: place.into(),
            what: what.into(),
            mend: mend.into(),
        }
    }
}
