/*! The ledger of runs: `ledger.jsonl` beside the run folders, one JSON object a line, only ever
appended to. A line that cannot be read is told and kept as it is. */

use crate::records::date;
use crate::records::reading::plain_file;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs::OpenOptions;
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Component, Path, PathBuf};

/// Name of the ledger, in the parent folder of the run folder.
pub const LEDGER: &str = "ledger.jsonl";

/// Largest ledger that is read, megabytes: some hundred thousand runs.
const LARGEST_LEDGER_MB: u32 = 256;

/// `result` of a run whose report stands.
pub(crate) const DONE: &str = "done";

/// One run, as the ledger tells it.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Entry {
    /// The as-of date, ISO 8601.
    pub as_of: String,
    /// `done`, or `failed: ` and why.
    pub result: String,
    /// The run folder, relative to the ledger's.
    pub folder: String,
    /// The pipeline file or the records, relative to the ledger's folder.
    #[serde(default)]
    pub pipeline: String,
    /// Version of the program.
    #[serde(default)]
    pub driftbook: String,
    /// First digits of the SHA-256 of the program's file; empty where an older version wrote the line.
    #[serde(default)]
    pub build: String,
    /// Number of histories.
    #[serde(default)]
    pub histories: usize,
    /// Histories with each action.
    #[serde(default)]
    pub actions: BTreeMap<String, usize>,
    /// SHA-256 of the settings in force.
    #[serde(default)]
    pub settings_sha256: String,
    /// SHA-256 of every input file, by its path.
    #[serde(default)]
    pub inputs: BTreeMap<String, String>,
}

impl Entry {
    /// The as-of date, days since 1970-01-01; NaN where it is no date.
    pub(crate) fn day(&self) -> f64 {
        date::parse_iso(self.as_of.as_bytes()).unwrap_or(f64::NAN)
    }
}

/// All runs that could be read, in the order of the file.
#[derive(Debug, Clone, Default)]
pub struct Ledger {
    /// Where it stands.
    pub path: PathBuf,
    /// The runs.
    pub entries: Vec<Entry>,
    /// Lines that could not be read, in words.
    pub problems: Vec<String>,
}

impl Ledger {
    /// Reads the ledger; an absent one is empty.
    pub fn read(path: &Path) -> Self {
        let mut ledger = Self {
            path: path.to_path_buf(),
            ..Self::default()
        };
        let bytes = match plain_file::read(path, LARGEST_LEDGER_MB) {
            Ok(bytes) => bytes,
            Err(why) if why.kind() == std::io::ErrorKind::NotFound => return ledger,
            Err(why) => {
                let words = format!("{}: cannot be read: {why}", path.display());
                ledger.problems.push(words);
                return ledger;
            }
        };
        for (number, line) in String::from_utf8_lossy(&bytes).lines().enumerate() {
            if line.trim().is_empty() {
                continue;
            }
            match entry(line) {
                Ok(entry) => ledger.entries.push(entry),
                Err(why) => ledger.problems.push(format!(
                    "{}, line {}: not a whole entry ({why}); it was edited by hand or the computer \
                     stopped while it was written. It is kept as it is and passed over.",
                    path.display(),
                    number + 1
                )),
            }
        }
        ledger
    }

    /// Appends one line; a last line that was cut off is ended first, so that both stay apart.
    ///
    /// # Errors
    /// The system's word where the file cannot be written; a file of this name that has no run in it.
    pub(crate) fn append(&self, entry: &Entry) -> std::io::Result<()> {
        if self.entries.is_empty() && !self.problems.is_empty() {
            return Err(std::io::Error::other(
                "this file is no ledger of runs; it is left alone",
            ));
        }
        let mut file = OpenOptions::new()
            .create(true)
            .append(true)
            .read(true)
            .open(&self.path)?;
        let mut line = String::new();
        if file.metadata()?.len() > 0 {
            file.seek(SeekFrom::End(-1))?;
            let mut last = [0];
            file.read_exact(&mut last)?;
            if last != *b"\n" {
                line.push('\n');
            }
        }
        line += &serde_json::to_string(entry)?;
        line.push('\n');
        file.write_all(line.as_bytes())?;
        file.sync_data()
    }
}

/// Why a line of the ledger is no run.
#[derive(Debug, thiserror::Error)]
enum NoRun {
    #[error(transparent)]
    Form(#[from] serde_json::Error),
    #[error("as_of \"{0}\" is no date")]
    AsOf(String),
    #[error("folder \"{0}\" is not one beside the ledger")]
    Folder(String),
}

fn entry(line: &str) -> Result<Entry, NoRun> {
    let entry: Entry = serde_json::from_str(line)?;
    // Runs stand beside their ledger: a line that names any other folder was not written by one.
    let mut parts = Path::new(&entry.folder).components();
    let beside = matches!(
        (parts.next(), parts.next()),
        (Some(Component::Normal(_)), None)
    );
    match (entry.day().is_finite(), beside) {
        (true, true) => Ok(entry),
        (false, _) => Err(NoRun::AsOf(entry.as_of)),
        (true, false) => Err(NoRun::Folder(entry.folder)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(as_of: &str) -> Entry {
        Entry {
            as_of: as_of.into(),
            result: DONE.into(),
            folder: "2026-06".into(),
            ..Entry::default()
        }
    }

    #[test]
    fn broken_lines_are_told_and_kept() {
        let place = tempfile::tempdir().unwrap();
        let path = place.path().join(LEDGER);
        assert!(Ledger::read(&path).entries.is_empty());
        Ledger::read(&path).append(&run("2026-05-31")).unwrap();
        let mut text = std::fs::read_to_string(&path).unwrap();
        text.push_str("{\"as_of\":\"2026-06");
        std::fs::write(&path, &text).unwrap();
        Ledger::read(&path).append(&run("2026-06-30")).unwrap();
        std::fs::write(
            &path,
            std::fs::read_to_string(&path).unwrap()
                + "{\"as_of\":\"May\",\"result\":\"done\",\"folder\":\"x\"}\n",
        )
        .unwrap();
        let ledger = Ledger::read(&path);
        let days: Vec<_> = ledger.entries.iter().map(|e| e.as_of.as_str()).collect();
        assert_eq!(days, ["2026-05-31", "2026-06-30"]);
        assert_eq!(ledger.problems.len(), 2);
        says!(ledger.problems[0], "line 2");
        says!(ledger.problems[1], "\"May\" is no date");
        says!(
            std::fs::read_to_string(&path).unwrap(),
            "{\"as_of\":\"2026-06\n"
        );
    }
}
