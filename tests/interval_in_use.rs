/*! Where nobody states the interval in use, a record that shows another than the one that is taken is told: what is
due, overdue, kept or extended counts from it. */

use super::tool::{driftbook, read_csv};
use std::path::Path;

/// Two gauges, checked each half-year.
const CHECKS: &str = "instrument,date,as_found,u,lower,upper,unit
G-1,2021-01-12,0.4,0.1,-2,2,kPa
G-1,2021-07-14,0.5,0.1,-2,2,kPa
G-1,2022-01-11,0.6,0.1,-2,2,kPa
G-1,2022-07-13,0.8,0.1,-2,2,kPa
G-2,2021-01-12,-0.4,0.1,-2,2,kPa
G-2,2021-07-14,-0.5,0.1,-2,2,kPa
G-2,2022-01-11,-0.6,0.1,-2,2,kPa
G-2,2022-07-13,-0.7,0.1,-2,2,kPa
";

/// The decisions of a run on `plan`, and what it warned about.
fn run(folder: &Path, plan: &str) -> (Vec<std::collections::BTreeMap<String, String>>, String) {
    let (plan, out) = (folder.join(plan), folder.join("out"));
    let done = driftbook(&[
        "run",
        &plan.to_string_lossy(),
        "--out",
        &out.to_string_lossy(),
        "--as-of",
        "2022-09-01",
        "--charts",
        "none",
    ])
    .well();
    let page = std::fs::read_to_string(out.join("index.html")).unwrap();
    let first_screen = page.contains("No interval in use is stated and ");
    assert_eq!(first_screen, done.stderr.contains("no interval in use"));
    (read_csv(&out.join("decisions.csv")).rows, done.stderr)
}

#[test]
fn a_record_that_shows_another_interval_than_the_one_taken_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::write(folder.join("lab.csv"), CHECKS).unwrap();
    let (decisions, warned) = run(folder, "lab.csv");
    says!(
        warned,
        "those of 2 histories usually lie 183 d apart (G-1: 183 d)"
    );
    for row in &decisions {
        says!(
            row["reason"],
            "No interval in use is stated, and 365 d are taken, although its checks usually lie 183 d apart."
        );
    }

    let started = driftbook(&["start", &folder.join("lab.csv").to_string_lossy(), "--yes"]);
    says!(started.stdout, "183 d are put in");
    let (decisions, warned) = run(folder, "lab.toml");
    says_not!(warned, "interval in use");
    for row in &decisions {
        assert_eq!(row["current_interval_days"], "183.0", "{}", row["reason"]);
        says_not!(row["reason"], "No interval in use");
    }

    std::fs::write(
        folder.join("register.csv"),
        "instrument,interval_days\nG-1,365\nG-2,365\n",
    )
    .unwrap();
    let stated = "[checks]\nfiles = [\"lab.csv\"]\n[register]\nfile = \"register.csv\"\n";
    std::fs::write(folder.join("stated.toml"), stated).unwrap();
    let (_, warned) = run(folder, "stated.toml");
    says_not!(warned, "interval in use");
}

/// An export that states model, interval and next due date beside each check.
const EXPORT: &str =
    "Equipment ID;Model;Cal date;Reading;Nominal;Tolerance;U (k=2);Interval (months);Next due
T-01;Probe A;12.03.2021;100,02;100,00;±0,10;0,02;12;12.03.2022
T-01;Probe A;10.03.2022;100,03;100,00;±0,10;0,02;24;10.03.2024
T-02;Probe A;12.03.2021;100,01;100,00;±0,10;0,02;12;12.03.2022
T-02;Probe A;10.03.2022;100,02;100,00;±0,10;0,02;;
R-07;Probe B;02.05.2021;99,97;100,00;±0,10;0,02;6;02.11.2021
R-07;Probe B;01.11.2021;99,98;100,00;±0,10;0,02;6;01.05.2022
";

#[test]
fn group_interval_and_next_due_date_are_read_from_the_checks() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::write(folder.join("export.csv"), EXPORT).unwrap();
    let started = driftbook(&[
        "start",
        &folder.join("export.csv").to_string_lossy(),
        "--yes",
    ]);
    says_not!(started.stdout, "Not answered", "Not read");
    let (decisions, warned) = run(folder, "export.toml");
    says_not!(warned, "interval in use");
    let stated = |row: &std::collections::BTreeMap<String, String>| {
        ["instrument", "group", "in_force_days", "in_force_due"].map(|name| row[name].clone())
    };
    let stated: Vec<[String; 4]> = decisions.iter().map(stated).collect();
    let expected = [
        ["R-07", "Probe B", "181.0", "2022-05-01"],
        ["T-01", "Probe A", "731.0", "2024-03-10"],
        ["T-02", "Probe A", "365.0", "2023-03-10"],
    ];
    assert_eq!(stated, expected);
}
