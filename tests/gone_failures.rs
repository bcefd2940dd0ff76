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
        Self::with_output(book, "")
    }

    /// The same with `output` in the pipeline's table of the output.
    fn with_output(book: &str, output: &str) -> Self {
        let desk = Desk::new();
        desk.file("checks.csv", &format!("{HEADER}{OTHERS}{FAILED}"));
        let pipeline = format!(
            "[checks]\nfiles = [\"checks.csv\"]\n\n{book}[output]\nfolder = \"reports/{{year}}-{{month}}\"\n{output}"
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

const BOOK: &str = "[cases]\nfile = \"cases.csv\"\n\n";

/// A run without charts kept nothing, so that the next one, with or without charts, forgot the failure without a word.
#[test]
fn a_run_without_charts_or_digest_remembers_failures() {
    for output in ["charts = \"none\"\n", "digest = false\n"] {
        let laboratory = Laboratory::with_output(BOOK, output);
        laboratory
            .0
            .file("checks.csv", &format!("{HEADER}{OTHERS}"));
        for month in ["2026-05-31", "2026-06-30"] {
            let told = laboratory.run(month).stderr;
            assert!(
                told.contains(
                    "the failure of 2024-03-05, which the run of 2026-04-30 read, is gone"
                ),
                "{output}{told}"
            );
            let (action, reason) = laboratory.decision(&month[..7]);
            assert_eq!(action, "review", "{reason}");
        }
        let closed = laboratory.close("2024-03-05");
        assert_eq!(closed.status, 0, "{}", closed.stderr);
        let told = laboratory.run("2026-07-31").stderr;
        assert!(!told.contains("the failure of"), "{told}");
        assert_ne!(laboratory.decision("2026-07").0, "review");
    }
}

/// A second run on the day of the first one compared with nothing, and its records were the first that anybody knew.
#[test]
fn a_failure_that_is_taken_out_on_the_same_day_stands() {
    let laboratory = Laboratory::with(BOOK);
    laboratory
        .0
        .file("checks.csv", &format!("{HEADER}{OTHERS}"));
    for day in ["2026-04-30", "2026-04-30", "2026-05-31"] {
        let told = laboratory.run(day).stderr;
        let (action, reason) = laboratory.decision(&day[..7]);
        assert!(
            action == "review" && reason.contains("the failure of 2024-03-05"),
            "{day}: {reason}\n{told}"
        );
    }
}

/// Another mapping, unit or limit on the day of a first run may have made its failures: they are not held against the records.
#[test]
fn failures_of_other_settings_on_the_same_day_are_not_remembered() {
    let laboratory = Laboratory::with(BOOK);
    laboratory
        .0
        .file("checks.csv", &format!("{HEADER}{OTHERS}"));
    let pipeline = laboratory.0.path("lab.toml");
    let text = std::fs::read_to_string(&pipeline).unwrap();
    let other = text.replace("[output]", "[drift]\nyears_per_step = 60.0\n\n[output]");
    std::fs::write(&pipeline, other).unwrap();
    laboratory.run("2026-04-30");
    assert_ne!(laboratory.decision("2026-04").0, "review");
}

/// An item whose checks are all gone was told once, and nobody could close what it had failed by.
#[test]
fn an_item_that_is_gone_is_told_of_until_its_failure_is_closed() {
    let laboratory = Laboratory::with(BOOK);
    let other = OTHERS.replace("G-1", "G-2");
    laboratory.0.file("checks.csv", &format!("{HEADER}{other}"));
    let known = "the run of 2026-04-30 knew a failure of 2024-03-05, and all checks are gone";
    for month in ["2026-05-31", "2026-06-30"] {
        let told = laboratory.run(month).stderr;
        assert!(told.contains(known), "{told}");
    }
    // It asks a person all the same.
    let pipeline = laboratory.0.path("lab.toml");
    let pipeline = pipeline.to_str().unwrap();
    let asked = driftbook(&["run", pipeline, "--as-of", "2026-06-30", "--exit-on-action"]);
    assert_eq!(asked.status, 3, "{}", asked.stderr);
    let page = std::fs::read_to_string(laboratory.0.path("reports/2026-06/index.html")).unwrap();
    let summary = std::fs::read_to_string(laboratory.0.path("reports/2026-06/summary.md")).unwrap();
    assert!(page.contains(&format!("<li>G-1: {known}")), "{summary}");
    assert!(summary.contains(&format!("G-1: {known}")), "{summary}");
    let refused = laboratory.close("2023-03-04");
    assert!(
        refused.status == 2 && refused.stderr.contains("it has those of 2024-03-05"),
        "{}",
        refused.stderr
    );
    let closed = laboratory.close("2024-03-05");
    assert_eq!(closed.status, 0, "{}", closed.stderr);
    for month in ["2026-07-31", "2026-08-31"] {
        let told = laboratory.run(month).stderr;
        assert!(
            !told.contains("knew a failure") && !told.contains("closes nothing"),
            "{told}"
        );
    }
}
