/*! A person's folder of files, what `start` and `run` make of it, and what was put into it. */

use crate::tool::{Done, driftbook, root};
use driftbook::records::{Loaded, load};
use driftbook::settings::{PlanRequest, plan};
use std::path::{Path, PathBuf};

/// A check that was put into a file: item, day, error.
pub type Truth = (&'static str, &'static str, f64);

/// A folder with a person's files.
pub struct Desk(tempfile::TempDir);

impl Desk {
    pub fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// A workbook of `tests/records/files`.
    pub fn workbook(&self, name: &str) -> PathBuf {
        let from = root().join("tests/records/files").join(name);
        std::fs::copy(from, self.path(name)).unwrap();
        self.path(name)
    }

    pub fn file(&self, name: &str, text: &str) -> PathBuf {
        std::fs::write(self.path(name), text).unwrap();
        self.path(name)
    }

    pub fn run(&self, path: &Path) -> Done {
        let out = self.path("report");
        let (path, out) = (path.to_str().unwrap(), out.to_str().unwrap());
        driftbook(&["run", path, "--out", out, "--as-of", "2026-06-30"])
    }

    /// What `start` says, and the pipeline file that it wrote, every doubt answered as it was taken.
    pub fn start(&self, path: &Path) -> (Done, PathBuf) {
        let done = driftbook(&["start", path.to_str().unwrap()]);
        let pipeline = path.with_extension("toml");
        if let Ok(text) = std::fs::read_to_string(&pipeline) {
            std::fs::write(&pipeline, answered(&text)).unwrap();
        }
        (done, pipeline)
    }
}

/// A pipeline file's text, every doubt answered as it was taken.
pub fn answered(text: &str) -> String {
    let text = text.replace("= '? ", "= 'right: ");
    let text = text.replace("= \"\"\"? ", "= \"\"\"right: ");
    text.replace("= \"? ", "= \"right: ")
}

pub fn loaded(path: &Path) -> Loaded {
    let request = PlanRequest::new(
        Some(path.to_path_buf()),
        Some("2026-06-30".into()),
        chrono::NaiveDate::from_ymd_opt(2026, 6, 30).unwrap(),
    );
    load(&plan(&request).unwrap().request()).unwrap()
}

/// Item, day and error of every check, in order.
pub fn checks(loaded: &Loaded) -> Vec<(String, String, f64)> {
    let mut checks = Vec::new();
    for history in loaded.histories.iter() {
        for (date, found) in history.date.iter().zip(history.as_found) {
            let day = driftbook::records::date::iso(*date);
            checks.push((history.item.instrument.clone(), day, *found));
        }
    }
    checks
}

pub fn truth(of: &[Truth]) -> Vec<(String, String, f64)> {
    of.iter()
        .map(|(item, day, found)| (item.to_string(), day.to_string(), *found))
        .collect()
}
