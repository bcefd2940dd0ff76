/*! A raw export in a folder of its own: its runs, tables and accounts, and the values that were read. */

use crate::tool::{Done, driftbook, read_csv};
use driftbook::settings::{PlanRequest, plan};
use std::path::{Path, PathBuf};

/// A folder with files, and the run of one of them.
pub(crate) struct Export {
    folder: tempfile::TempDir,
}

impl Export {
    pub(crate) fn new(files: &[(&str, &str)]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in files {
            std::fs::write(folder.path().join(name), text).unwrap();
        }
        Self { folder }
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn run(&self, name: &str) -> Done {
        let (path, out) = (self.path(name), self.path("report"));
        driftbook(&[
            "run",
            path.to_str().unwrap(),
            "--out",
            out.to_str().unwrap(),
            "--as-of",
            "2026-06-30",
        ])
    }

    pub(crate) fn rows(&self, table: &str) -> Vec<std::collections::BTreeMap<String, String>> {
        read_csv(&self.path("report").join(table)).rows
    }
}

/// The accounts of a run.
pub(crate) fn accounts(report: &Path) -> [u64; 4] {
    let text = std::fs::read_to_string(report.join("run.json")).unwrap();
    let record: serde_json::Value = serde_json::from_str(&text).unwrap();
    ["read", "used", "merged", "rejected"].map(|key| record["rows"][key].as_u64().unwrap())
}

/// What was found at the checks that a pipeline reads.
pub(crate) fn found(pipeline: &Path) -> Vec<f64> {
    loaded(pipeline).histories.columns.as_found
}

/// What a pipeline reads.
pub(crate) fn loaded(pipeline: &Path) -> driftbook::records::Loaded {
    let plan = plan(&PlanRequest::new(
        Some(pipeline.to_path_buf()),
        Some("2026-06-30".into()),
        chrono::NaiveDate::from_ymd_opt(2026, 7, 1).unwrap(),
    ));
    driftbook::records::load(&plan.unwrap().request()).unwrap()
}
