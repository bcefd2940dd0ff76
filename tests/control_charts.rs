/*! Control charts from the built program: what drifts is in control, what shifts is found, what
rests on a session out of control waits, and a closed case opens the chart again. */

use crate::tool::{driftbook, read_csv, root};
use std::collections::BTreeMap;
use std::path::Path;

/// Rows of a table of the report in `folder`.
fn table(folder: &Path, name: &str) -> Vec<BTreeMap<String, String>> {
    read_csv(&folder.join(name)).rows
}

fn of<'a>(
    rows: &'a [BTreeMap<String, String>],
    instrument: &'a str,
) -> impl Iterator<Item = &'a BTreeMap<String, String>> {
    rows.iter()
        .filter(move |row| row["instrument"] == instrument)
}

#[test]
fn the_demo_shows_a_shift_on_the_average_alone_a_drift_in_control_and_what_waits() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    driftbook(&["run", "--quiet", "--out", &out.to_string_lossy()]).well();
    let control = table(&out, "control.csv");
    let signals: Vec<&str> = of(&control, "CS-001")
        .filter(|row| row["open"] == "true")
        .map(|row| row["signals"].as_str())
        .collect();
    assert!(
        !signals.is_empty() && signals.iter().all(|s| s.contains("ewma")),
        "{signals:?}"
    );
    assert!(of(&control, "CS-001").all(|row| !row["signals"].contains("beyond_three")));
    assert!(of(&control, "CS-001").all(|row| row["state"] == "out_of_control"));
    assert!(
        of(&control, "CS-002").all(|row| row["state"] == "in_control" && row["chart"] == "drift")
    );
    let decisions = table(&out, "decisions.csv");
    let held = of(&decisions, "MA-009").next().unwrap();
    assert_eq!(held["action"], "review");
    says!(held["reason"], "the check standard CS-001");
    let read = |name: &str| std::fs::read_to_string(out.join(name)).unwrap();
    says!(read("index.html"), "The process is NOT in control");
    says!(read("summary.md"), "The process is NOT in control");
    let page = read("control.html");
    assert!(page.contains("CS-001") && page.contains("CS-002") && page.contains("<svg"));
    let page = read("instruments/CS-002_1-ohm-at-23-C.html");
    assert!(
        page.contains("so that a steady drift gives no signal"),
        "no Control section"
    );
}

/// The load cells share a step of their force machine that nobody stated, beside a change of machine
/// that was stated.
#[test]
fn the_demo_shows_a_step_of_a_reference_found_as_such() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    driftbook(&["run", "--quiet", "--out", &out.to_string_lossy()]).well();
    let number = |row: &BTreeMap<String, String>, column: &str| row[column].parse::<f64>().unwrap();
    let sources = table(&out, "sources.csv");
    assert_eq!(sources.len(), 2, "{sources:?}");
    let step = number(&sources[1], "offset") - number(&sources[0], "offset");
    // Made 4 N apart; the offset's own u is told.
    near!(step, 4.0, 3.0 * number(&sources[1], "u_offset"));
    let shifts = table(&out, "shared_shifts.csv");
    assert_eq!(shifts.len(), 1, "{shifts:?}");
    assert_eq!(
        (
            shifts[0]["group"].as_str(),
            shifts[0]["from"].as_str(),
            shifts[0]["items"].as_str()
        ),
        ("load cell", "2026-04-28", "6")
    );
    // Made 5 N; the mean of six readings with u = 1.3 N each, and of as many predictions.
    assert!((number(&shifts[0], "shift") - 5.0).abs() < 3.0 * 1.3 * (2.0_f64 / 6.0).sqrt());
    let decisions = table(&out, "decisions.csv");
    let cells: Vec<_> = decisions
        .iter()
        .filter(|row| row["group"] == "load cell")
        .collect();
    assert_eq!(cells.len(), 6);
    for row in cells {
        assert_eq!(row["action"], "review", "{}", row["reason"]);
        let first = "Keep 91 d until a person has found the cause: the readings of 6 items of load cell moved together";
        assert!(row["reason"].starts_with(first), "{}", row["reason"]);
        assert_eq!(row["probability_in_tolerance"], "");
    }
    let read = |name: &str| std::fs::read_to_string(out.join(name)).unwrap();
    for page in ["index.html", "summary.md", "control.html"] {
        assert!(read(page).contains("the reference or the method"), "{page}");
    }
}

#[test]
fn the_kilogram_check_standard_is_charted_as_the_handbook_does() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    let pipeline = root().join("data/reference/kilogram.toml");
    let (pipeline, out_text) = (pipeline.to_string_lossy(), out.to_string_lossy());
    driftbook(&["run", &pipeline, "--quiet", "--out", &out_text]).well();
    let rows = table(&out, "control.csv");
    assert_eq!(rows.len(), 217);
    let baseline: Vec<f64> = (rows.iter())
        .filter(|row| row["phase"] == "baseline")
        .map(|row| row["value"].parse().unwrap())
        .collect();
    // e-Handbook 2.3.5.2: the values before 1985 characterise the process, and later ones leave it.
    assert_eq!(baseline.len(), 99);
    let mean = baseline.iter().sum::<f64>() / 99.0;
    let squares: f64 = baseline.iter().map(|value| (value - mean).powi(2)).sum();
    let upper: f64 = rows[0]["action_upper"].parse().unwrap();
    near!(upper - mean, 3.0 * (squares / 98.0).sqrt(), 1e-9);
    let late = rows
        .iter()
        .filter(|row| row["date"].as_str() > "1985-12-31");
    assert!(late.filter(|row| row["signals"].contains("ewma")).count() > 20);
}

/// A stable check standard that reads 9 once, with a book of closings.
fn laboratory(folder: &Path) {
    let mut checks = String::from("instrument,date,as_found,u,unit,kind\n");
    for month in 0..36 {
        let value = match month {
            30 => 9.0,
            other => f64::from(other * 7 % 5) * 0.5,
        };
        let (year, month) = (2022 + month / 12, month % 12 + 1);
        checks += &format!("CS-1,{year}-{month:02}-05,{value},0.5,mK,check\n");
    }
    let register = "instrument,role,control_chart\nCS-1,check standard,constant\n";
    let pipeline = "as_of = \"2025-01-10\"\n[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n\
                    [cases]\nfile = \"cases.csv\"\n";
    for (name, text) in [
        ("checks.csv", checks.as_str()),
        ("register.csv", register),
        ("lab.toml", pipeline),
    ] {
        std::fs::write(folder.join(name), text).unwrap();
    }
}

#[test]
fn a_signal_is_closed_by_name_and_a_day_without_one_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    laboratory(folder.path());
    let pipeline = folder.path().join("lab.toml");
    let (pipeline, out) = (pipeline.to_string_lossy(), folder.path().join("report"));
    let state = || {
        driftbook(&["run", &pipeline, "--quiet", "--out", &out.to_string_lossy()]).well();
        let warnings = std::fs::read_to_string(out.join("warnings.csv")).unwrap();
        says_not!(warnings, "closes nothing");
        table(&out, "control.csv")[0]["state"].clone()
    };
    assert_eq!(state(), "out_of_control");
    let close = |day: &str| {
        driftbook(&[
            "close",
            "CS-1",
            "--finding",
            day,
            "--by",
            "A. Person",
            "--action",
            "bath refilled",
            "--on",
            "2025-01-09",
            "--records",
            &pipeline,
        ])
    };
    let refused = close("2024-03-05").ended(2);
    says!(refused.stderr, "2024-07-05");
    close("2024-07-05").well();
    assert_ne!(state(), "out_of_control");
}
