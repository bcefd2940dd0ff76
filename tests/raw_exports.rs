/*! Raw exports as people have them: what cannot be read for certain is told, asked or refused. */

use crate::tool::{Done, driftbook, read_csv};
use std::path::{Path, PathBuf};

/// A folder with files, and the run of one of them.
struct Export {
    folder: tempfile::TempDir,
}

impl Export {
    fn new(files: &[(&str, &str)]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in files {
            std::fs::write(folder.path().join(name), text).unwrap();
        }
        Self { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn run(&self, name: &str) -> Done {
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

    fn rows(&self, table: &str) -> Vec<std::collections::BTreeMap<String, String>> {
        read_csv(&self.path("report").join(table)).rows
    }
}

/// The accounts of a run.
fn accounts(report: &Path) -> [u64; 4] {
    let text = std::fs::read_to_string(report.join("run.json")).unwrap();
    let record: serde_json::Value = serde_json::from_str(&text).unwrap();
    ["read", "used", "merged", "rejected"].map(|key| record["rows"][key].as_u64().unwrap())
}

#[test]
fn a_stray_quotation_mark_swallows_no_row() {
    let export = Export::new(&[(
        "dials.csv",
        "instrument,date,as_found,u,lower,upper,unit,note\n\
         D-1,2021-03-01,0.1,0.1,-5,5,um,\"5 dial\n\
         D-1,2022-03-01,9.0,0.1,-5,5,um,fails\n\
         D-1,2023-03-01,0.3,0.1,-5,5,um,\n\
         D-1,2024-03-01,0.4,0.1,-5,5,um,\"5 dial\"\n\
         D-1,2025-03-01,0.5,0.1,-5,5,um,\n",
    )]);
    let done = export.run("dials.csv");
    assert_eq!(done.status, 0, "{}", done.stderr);
    assert_eq!(accounts(&export.path("report")), [5, 4, 0, 1]);
    let rejects = export.rows("rejects.csv");
    assert_eq!(rejects[0]["row"], "1");
    assert!(rejects[0]["reason"].contains("a quotation mark is opened here"));
}

#[test]
fn a_check_is_never_recorded_into_an_open_field() {
    let text = "instrument,date,as_found,u,lower,upper,unit\n\
                D-1,2021-03-01,0.1,0.1,-5,5,um\n\
                D-1,2022-03-01,0.2,0.1,-5,5,\"um\n";
    let export = Export::new(&[("dials.csv", text)]);
    let file = export.path("dials.csv");
    let file = file.to_str().unwrap();
    let done = driftbook(&[
        "verdict",
        "D-1",
        "0.3",
        "--u",
        "0.1",
        "--date",
        "2023-03-01",
        "--records",
        file,
        "--record",
        file,
    ]);
    assert_eq!(done.status, 1, "{}", done.stdout);
    assert!(done.stderr.contains("is never closed"), "{}", done.stderr);
    assert_eq!(std::fs::read_to_string(file).unwrap(), text);
}
