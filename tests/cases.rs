/*! A failure is not forgotten: it stays a case until a named person closed it. */

#[path = "cases/closings.rs"]
mod closings;

use crate::desk::Desk;
use crate::tool::{driftbook, read_csv};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

const BOOK: &str =
    "instrument,point,finding,closed_by,closed_on,action,reference,previous_sha256\n";

/// A gauge that failed once in 2021 and passed ever since, and one that never failed.
fn laboratory(folder: &Path, cases: &str) -> PathBuf {
    let mut text = String::from("instrument,point,date,as_found,as_left,u,lower,upper,unit\n");
    for (i, wiggle) in [0.02, -0.01, 0.03, -0.02, 0.01, 0.02, -0.03, 0.01]
        .iter()
        .enumerate()
    {
        let day = format!("{}-03-01", 2018 + i);
        let found = if i == 3 { 1.5 } else { *wiggle };
        text += &format!("FAILED,,{day},{found},{wiggle},0.01,-1,1,mm\n");
        text += &format!("GOOD,,{day},{wiggle},{wiggle},0.01,-1,1,mm\n");
    }
    fs::write(folder.join("checks.csv"), text).unwrap();
    let pipeline = folder.join("lab.toml");
    let settings = format!("as_of = \"2025-06-01\"\n[checks]\nfiles = [\"checks.csv\"]\n{cases}");
    fs::write(&pipeline, settings).unwrap();
    pipeline
}

type Rows = Vec<BTreeMap<String, String>>;

/// Exit status, decisions and cases of a run.
fn run(pipeline: &Path) -> (u8, Rows, Rows) {
    let out = pipeline.with_file_name("report");
    let to = out.to_str().unwrap();
    let done = driftbook(&[
        "run",
        pipeline.to_str().unwrap(),
        "--quiet",
        "--exit-on-action",
        "--out",
        to,
    ]);
    let status = u8::try_from(done.status).unwrap();
    assert!(status == 0 || status == 3, "{}", done.stderr);
    let rows = |name: &str| read_csv(&out.join(name)).rows;
    (status, rows("decisions.csv"), rows("cases.csv"))
}

fn close(pipeline: &Path, finding: &str) -> crate::tool::Done {
    close_on(pipeline, finding, "2025-05-01")
}

fn close_on(pipeline: &Path, finding: &str, day: &str) -> crate::tool::Done {
    let pipeline = pipeline.to_str().unwrap();
    driftbook(&[
        "close",
        "FAILED",
        "--finding",
        finding,
        "--by",
        "A. Person",
        "--action",
        "two certificates recalled, \"both\" replaced",
        "--on",
        day,
        "--records",
        pipeline,
    ])
}

#[test]
fn a_case_is_open_until_a_person_closes_it() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path(), "[cases]\nfile = \"cases.csv\"\n");
    let (status, decisions, cases) = run(&pipeline);
    assert_eq!(status, 3);
    assert_eq!(
        (
            decisions[0]["action"].as_str(),
            decisions[0]["open_cases"].as_str()
        ),
        ("review", "1")
    );
    says!(
        decisions[0]["reason"],
        "open case: found out of tolerance on 2021-03-01"
    );
    assert_eq!(decisions[1]["open_cases"], "0");
    assert_eq!(cases.len(), 1);
    assert_eq!(
        (cases[0]["state"].as_str(), cases[0]["good_since"].as_str()),
        ("open", "2020-03-01")
    );
    let explained = driftbook(&["explain", "FAILED", "--records", pipeline.to_str().unwrap()]);
    says!(explained.stdout, "open case");
    let wrong = close(&pipeline, "2022-03-01").ended(2);
    says!(wrong.stderr, "it has those of 2021-03-01");
    close(&pipeline, "2021-03-01").well();
    let (_, decisions, cases) = run(&pipeline);
    assert_eq!(decisions[0]["open_cases"], "0");
    assert_ne!(decisions[0]["action"], "review");
    assert_eq!(
        (cases[0]["state"].as_str(), cases[0]["closed_by"].as_str()),
        ("closed", "A. Person")
    );
    let again = close(&pipeline, "2021-03-01");
    says!(again.stderr, "was closed by A. Person on 2025-05-01");
}

/// The demo's books close and approve what its records hold: each approved or rejected interval is
/// the one that the program proposed the day before.
#[test]
fn the_demo_has_what_a_laboratory_signs() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = crate::tool::root().join("pipelines/interval-review.toml");
    let report = |as_of: &str| {
        let out = folder.path().join(as_of);
        let (file, to) = (pipeline.to_str().unwrap(), out.to_str().unwrap());
        driftbook(&[
            "run", file, "--as-of", as_of, "--charts", "none", "--out", to,
        ])
        .well();
        let rows = |name: &str| read_csv(&out.join(name)).rows;
        (
            rows("decisions.csv"),
            rows("cases.csv"),
            rows("warnings.csv"),
        )
    };
    let (proposed, _, _) = report("2026-06-15");
    let book = crate::tool::root().join("data/demo/approvals.csv");
    for line in read_csv(&book).rows {
        let is_it = |row: &&BTreeMap<String, String>| {
            row["instrument"] == line["instrument"] && row["point"] == line["point"]
        };
        let row = proposed.iter().find(is_it).unwrap();
        assert_eq!(row["interval_days"], line["proposed_days"], "{line:?}");
        assert_eq!(row["approval"], "pending", "{line:?}");
    }
    let (decided, cases, warnings) = report("2026-06-30");
    let has = |rows: &Rows, column: &str, value: &str| {
        let found = rows.iter().any(|row| row[column] == value);
        assert!(found, "no {column} is {value}");
    };
    for state in ["open", "closed", "before_book"] {
        has(&cases, "state", state);
    }
    for approval in ["approved", "rejected", "pending"] {
        has(&decided, "approval", approval);
    }
    has(&decided, "action", "none");
    let of = |name: &str| {
        decided
            .iter()
            .find(|row| row["instrument"] == name)
            .unwrap()
    };
    says!(of("RS-011")["reason"], "It is lent until 2026-12-31");
    assert_eq!(of("GB-008")["first_check"], "2014-09-18");
    let odd = |row: &&BTreeMap<String, String>| {
        row["warning"].contains("is not read")
            || row["source"].contains("cases")
            || row["source"].contains("approvals")
    };
    assert_eq!(warnings.iter().find(odd), None);
}

/// Each finding that the book keeps has a record: the work in doubt with its probability, lines to
/// fill in while it is open, who closed it and what was done afterwards.
#[test]
fn a_finding_has_a_record_with_its_work_in_doubt() {
    let folder = tempfile::tempdir().unwrap();
    let jobs = "[jobs]\nfile = \"jobs.csv\"\n[cases]\nfile = \"cases.csv\"\n";
    let pipeline = laboratory(folder.path(), jobs);
    fs::write(
        folder.path().join("jobs.csv"),
        "job,instrument,date,lower,upper,measured_error\nJ-1,FAILED,2020-12-01,-3,3,2.9\nJ-2,FAILED,2024-05-01,-3,3,2.9\n",
    )
    .unwrap();
    run(&pipeline);
    let report = folder.path().join("report");
    let read = |name: &str| {
        let text = fs::read_to_string(report.join(name)).unwrap();
        text.replace('\u{a0}', " ")
    };
    let record = read("cases/FAILED-2021-03-01.md");
    for words in [
        "# FAILED: out of tolerance on 2021-03-01",
        "| as found | 1.500 ± 0.020 mm (k = 2) |",
        "| limits | −1 mm to 1 mm |",
        "| how far out | 0.50 mm beyond the upper limit",
        "| last good check | 2020-03-01, 365 d before |",
        "| good again | since 2021-03-01 |",
        "| J-1 | 2020-12-01 | recall |",
        "| customers told, work recalled |  |",
        "| closed by |  |",
        "checks.csv, row 8",
    ] {
        assert!(record.contains(words), "{words} in {record}");
    }
    says_not!(record, "J-2");
    let doubts = read_csv(&report.join("doubts.csv")).rows;
    assert_eq!(doubts[0]["finding"], "2021-03-01");
    assert_eq!(doubts[0]["case"], "open");
    assert!(!doubts[0]["left_tolerance_at"].is_empty());
    let link = "cases/FAILED-2021-03-01";
    says!(read("index.html"), &format!("href=\"{link}.html\""));
    says!(
        read("instruments/FAILED.html"),
        &format!("href=\"../{link}.html\"")
    );
    says!(read("charts/FAILED.svg"), "tolerance left 2020-");
    let summary = read("summary.md");
    assert!(summary.contains(&format!("[record]({link}.md)")) && summary.contains("J-1"));
    says!(read(&format!("{link}.html")), "tolerance left 2020-");
    assert_eq!(close(&pipeline, "2021-03-01").status, 0);
    run(&pipeline);
    let record = read("cases/FAILED-2021-03-01.md");
    says!(record, "| closed by | A. Person |");
    says_not!(record, "customers told, work recalled");
    assert_eq!(
        read_csv(&report.join("doubts.csv")).rows[0]["case"],
        "closed"
    );
    let summary = read("summary.md");
    says!(summary, "1 of them belongs to cases that a person closed");
    says_not!(summary, "| J-1 |");
}

/// A case of an item that serves no more is as open as any other: a person is needed.
#[test]
fn an_open_case_of_a_retired_item_needs_a_person() {
    let folder = tempfile::tempdir().unwrap();
    let more = "[cases]\nfile = \"cases.csv\"\n[register]\nfile = \"register.csv\"\n";
    let pipeline = laboratory(folder.path(), more);
    let register = "instrument,status\nFAILED,retired\nGOOD,in_use\n";
    fs::write(folder.path().join("register.csv"), register).unwrap();
    // The second run finds the report standing.
    for _ in 0..2 {
        let (status, decisions, _) = run(&pipeline);
        assert_eq!((status, decisions[0]["action"].as_str()), (3, "none"));
    }
    // Why is told: no decision of the list does.
    let other = folder.path().join("other");
    let (file, to) = (pipeline.to_str().unwrap(), other.to_str().unwrap());
    let told = driftbook(&["run", file, "--out", to]).well().stdout;
    says!(
        told,
        "Cases: 1 check out of tolerance or too near a limit to tell, which nobody has closed"
    );
    assert_eq!(close(&pipeline, "2021-03-01").status, 0);
    assert_eq!(run(&pipeline).0, 0);
}

/// Without a book a failure that one good check followed is in the reason, whatever else holds the
/// interval; a picture of what a person decides leads with what asks for it.
#[test]
fn a_failure_with_one_good_check_after_it_is_told_without_a_book() {
    let desk = Desk::new();
    let mut text = String::from("instrument,date,as_found,u,lower,upper,unit\n");
    let found = [0.02, 0.05, 0.01, 0.08, 0.06, 0.09, 0.11, 0.1, 1.35, 0.12];
    for (year, value) in (2016..).zip(found) {
        text += &format!("DM-3,{year}-01-10,{value},0.05,-1,1,mV\n");
    }
    desk.run(&desk.file("checks.csv", &text)).well();
    let rows = read_csv(&desk.path("report/decisions.csv")).rows;
    let reason = &rows[0]["reason"];
    assert_eq!(rows[0]["action"], "review", "{reason}");
    says!(
        reason,
        "until a repeated check has been made",
        // Of the last two it is the one before that lies off: the last one alone was called a mistake or a step.
        "that of 2024-01-10, 1.35 mV, lies far off all others",
        "found out of tolerance on 2024-01-10"
    );
    let page = fs::read_to_string(desk.path("report/instruments/DM-3.html")).unwrap();
    let title = "DM-3: the reading of 2025-01-10, 0.12 mV, lies outside ";
    assert!(
        page.contains(title),
        "{}",
        page.lines().take(40).collect::<String>()
    );
}
