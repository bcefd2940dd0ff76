/*! What the promises share: the built program, its output, tables as rows of text. */

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

/// How a command ended.
pub struct Done {
    pub status: i32,
    pub stdout: String,
    pub stderr: String,
}

impl Done {
    /// The same, for a command that did what it was asked to.
    #[track_caller]
    pub fn well(self) -> Self {
        self.ended(0)
    }

    /// The same, for a command that ended with `status`.
    #[track_caller]
    pub fn ended(self, status: i32) -> Self {
        assert_eq!(self.status, status, "{}{}", self.stdout, self.stderr);
        self
    }
}

/// Runs the built program in the project's folder.
pub fn driftbook(arguments: &[&str]) -> Done {
    let output = Command::new(env!("CARGO_BIN_EXE_driftbook"))
        .args(arguments)
        .current_dir(root())
        .output()
        .unwrap();
    Done {
        status: output.status.code().unwrap_or(-1),
        stdout: String::from_utf8_lossy(&output.stdout).into_owned(),
        stderr: String::from_utf8_lossy(&output.stderr).into_owned(),
    }
}

/// The project's folder.
pub fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A CSV table: header, and rows as name → text.
pub struct Csv {
    pub header: Vec<String>,
    pub rows: Vec<BTreeMap<String, String>>,
}

/// Reads a CSV file.
pub fn read_csv(path: &Path) -> Csv {
    let mut reader = csv::Reader::from_path(path).unwrap();
    let header: Vec<String> = reader
        .headers()
        .unwrap()
        .iter()
        .map(str::to_string)
        .collect();
    let rows = reader
        .records()
        .map(|record| {
            header
                .iter()
                .cloned()
                .zip(record.unwrap().iter().map(str::to_string))
                .collect()
        })
        .collect();
    Csv { header, rows }
}
