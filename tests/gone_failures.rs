/*! A failure whose row is gone from the records, or reads otherwise: it stands until a named person has closed it. */

use super::desk::Desk;
use super::tool::{Done, driftbook, read_csv};

const HEADER: &str = "instrument,date,as_found,as_left,u,lower,upper,unit,event\n";
const FAILED: &str = "G-1,2024-03-05,6.1,0.1,0.2,-5,5,mK,adjusted\n";
const OTHERS: &str = "G-1,2022-03-04,0.1,,0.2,-5,5,mK,\nG-1,2023-03-04,0.3,,0.2,-5,5,mK,\nG-1,2025-03-05,0.2,,0.2,-5,5,mK,\nG-1,2026-03-05,0.4,,0.2,-5,5,mK,\n";

struct Laboratory(Desk);

impl Laboratory {
    /// One gauge with a failure in its records, a run of which stands; `book` is what the pipeline says of cases.
    fn with(book: &str) -> Self {
        let desk = Desk::new();
        desk.file("checks.csv", &format!("{HEADER}{OTHERS}{FAILED}"));
        let pipeline = format!(
            "[checks]\nfiles = [\"checks.csv\"]\n\n{book}[output]\nfolder = \"reports/{{year}}-{{month}}\"\n"
        );
        desk.file("lab.toml", &pipeline);
        let laboratory = Self(desk);
        laboratory.run("2026-04-30");
        laboratory
    }

    fn run(&self, day: &str) -> Done {
        let pipeline = self.0.path("lab.toml");
        let done = driftbook(&["run", pipeline.to_str().unwrap(), "--as-of", day]);
        assert_eq!(done.status, 0, "{}", done.stderr);
        done
    }

    /// The action of the gauge by the report of a month, and its reason.
    fn decision(&self, month: &str) -> (String, String) {
        let table = self.0.path(&format!("reports/{month}/decisions.csv"));
        let row = read_csv(&table).rows.remove(0);
        (row["action"].clone(), row["reason"].clone())
    }

    fn close(&self, finding: &str) -> Done {
        let pipeline = self.0.path("lab.toml");
        driftbook(&[
            "close",
            "G-1",
            "--finding",
            finding,
            "--by",
            "A. Person",
            "--action",
            "typing error, the certificate says 0.61",
            "--on",
            "2026-06-30",
            "--records",
            pipeline.to_str().unwrap(),
        ])
    }
}

/// The row of a failure was taken out, and the next run extended the interval without a word on the terminal.
#[test]
fn a_failure_that_is_gone_stands_until_a_person_closes_it() {
    let laboratory = Laboratory::with("[cases]\nfile = \"cases.csv\"\n\n");
    laboratory
        .0
        .file("checks.csv", &format!("{HEADER}{OTHERS}"));
    let told = laboratory.run("2026-05-31").stderr;
    assert!(
        told.contains("the failure of 2024-03-05, which the run of 2026-04-30 read, is gone"),
        "{told}"
    );
    assert!(told.contains("an assessor would ask why"), "{told}");
    // It is not forgotten a month later either.
    for month in ["2026-05-31", "2026-06-30"] {
        laboratory.run(month);
        let (action, reason) = laboratory.decision(&month[..7]);
        assert!(
            action == "review" && reason.contains("the failure of 2024-03-05"),
            "{reason}"
        );
    }
    let pipeline = laboratory.0.path("lab.toml");
    let explained = driftbook(&[
        "explain",
        "G-1",
        "--records",
        pipeline.to_str().unwrap(),
        "--as-of",
        "2026-06-30",
    ]);
    assert!(
        explained.stdout.contains("the failure of 2024-03-05"),
        "{}",
        explained.stdout
    );
    let closed = laboratory.close("2024-03-05");
    assert_eq!(closed.status, 0, "{}", closed.stderr);
    for month in ["2026-07-31", "2026-08-31"] {
        let told = laboratory.run(month).stderr;
        let (action, _) = laboratory.decision(&month[..7]);
        assert!(
            action != "review" && !told.contains("closes nothing"),
            "{action}: {told}"
        );
    }
}

/// Where no book is kept nobody could close it: the run that finds it gone asks, and later ones do not.
#[test]
fn without_a_book_a_failure_that_reads_otherwise_is_told_once() {
    let laboratory = Laboratory::with("");
    let corrected = FAILED.replace("6.1,0.1", "0.61,0.1");
    laboratory
        .0
        .file("checks.csv", &format!("{HEADER}{OTHERS}{corrected}"));
    let told = laboratory.run("2026-05-31").stderr;
    assert!(told.contains("is none by the records now"), "{told}");
    assert_eq!(laboratory.decision("2026-05").0, "review");
    laboratory.run("2026-06-30");
    assert!(!laboratory.decision("2026-06").1.contains("the failure of"));
}
