/*! The reference behind the readings, from the built program: a shift that many items share is the
reference's before it is theirs, a named source has an offset of its own, a revaluation corrects what
rests on it, and a compared group needs a restraint. */

#[path = "sources/probability.rs"]
mod probability;

use crate::tool::{driftbook, read_csv};
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

/// Checks of `items` gauges, four a year for seven years, each 0.3 (three u) too high from 2022 on;
/// `more` adds a field to each row.
fn shifted(items: usize, more: impl Fn(bool) -> &'static str) -> String {
    let mut text = String::new();
    let mut random = Pcg64::seed_from_u64(9);
    for item in 0..items {
        for check in 0..28 {
            let (year, month) = (2016 + check / 4, 1 + 3 * (check % 4) + item % 3);
            let late = year >= 2022;
            let noise: f64 = 0.1 * random.sample::<f64, _>(StandardNormal);
            let value = 0.02 * check as f64 / 4.0 + noise + if late { 0.3 } else { 0.0 };
            let more = more(late);
            let _ = writeln!(
                text,
                "G-{item:02},{year}-{month:02}-10,{value:.4},0.1,-1,1,mm{more}"
            );
        }
    }
    text
}

/// Runs records with a register that says they are alike; the report's folder.
fn report(folder: &Path, header: &str, checks: &str, settings: &str) -> PathBuf {
    report_of(folder, (60, 90), header, checks, settings)
}

/// The same of so many items with so many days between their checks.
fn report_of(
    folder: &Path,
    (items, days): (usize, u32),
    header: &str,
    checks: &str,
    settings: &str,
) -> PathBuf {
    fs::write(folder.join("checks.csv"), format!("{header}\n{checks}")).unwrap();
    let mut register = String::from("instrument,group,interval_days\n");
    let width = if items > 100 { 3 } else { 2 };
    for item in 0..items {
        let _ = writeln!(register, "G-{item:0width$},gauges,{days}");
    }
    fs::write(folder.join("register.csv"), register).unwrap();
    let text = format!(
        "as_of = \"2023-01-05\"\n[checks]\nfiles = [\"checks.csv\"]\n{settings}\n[register]\nfile = \"register.csv\"\n"
    );
    fs::write(folder.join("lab.toml"), text).unwrap();
    let out = folder.join("report");
    let done = run(folder);
    assert_eq!(done.0, 0, "{}", done.1);
    out
}

fn run(folder: &Path) -> (i32, String) {
    let (pipeline, out) = (folder.join("lab.toml"), folder.join("report"));
    let done = driftbook(&[
        "run",
        &pipeline.to_string_lossy(),
        "--quiet",
        "--out",
        &out.to_string_lossy(),
    ]);
    (done.status, done.stderr)
}

const HEADER: &str = "instrument,date,as_found,u,lower,upper,unit";

#[test]
fn a_shift_that_many_items_share_holds_their_decisions_and_names_the_reference() {
    let folder = tempfile::tempdir().unwrap();
    let out = report(folder.path(), HEADER, &shifted(30, |_| ""), "");
    let shifts = read_csv(&out.join("shared_shifts.csv")).rows;
    assert_eq!(shifts.len(), 1, "{shifts:?}");
    // Each item is checked once in the first quarter of the year.
    assert!(
        ("2022-01-01".."2022-04-01").contains(&shifts[0]["from"].as_str()),
        "{shifts:?}"
    );
    for row in read_csv(&out.join("decisions.csv")).rows {
        assert_eq!(row["action"], "review", "{}", row["reason"]);
        says!(row["reason"], "the reference or the method");
    }
    for page in ["summary.md", "index.html", "control.html"] {
        let text = fs::read_to_string(out.join(page)).unwrap();
        assert!(text.contains("moved together"), "{page}");
    }
    // Judged by a person, it holds nothing.
    let judged = fs::read_to_string(folder.path().join("lab.toml")).unwrap();
    let judged = format!("{judged}[control]\nshared_judged_until = \"2022-12-31\"\n");
    fs::write(folder.path().join("lab.toml"), judged).unwrap();
    assert_eq!(run(folder.path()).0, 0);
    let decisions = read_csv(&out.join("decisions.csv")).rows;
    assert!(
        decisions
            .iter()
            .all(|row| !row["reason"].contains("moved together"))
    );
}

/// While a shared shift waits for a person the reading alone carries no statement: words, no probability.
#[test]
fn no_conformity_is_stated_while_a_shared_shift_is_open() {
    let folder = tempfile::tempdir().unwrap();
    let out = report(folder.path(), HEADER, &shifted(30, |_| ""), "");
    let why = "its readings moved together with those of other items, and nobody has judged that shift yet";
    for row in read_csv(&out.join("conformity.csv")).rows {
        for column in [
            "probability_as_found",
            "risk_as_found",
            "consumer_risk",
            "risk_at_due",
        ] {
            assert_eq!(row[column], "", "{column}");
        }
        assert_eq!(row["conformity_as_found"], "unknown");
        assert_eq!(row["missing"], why);
    }
    let page = fs::read_to_string(out.join("instruments/G-00.html")).unwrap();
    says!(page, why);
    let records = folder.path().join("lab.toml");
    let arguments = [
        "verdict",
        "G-00",
        "0.45",
        "--u",
        "0.1",
        "--date",
        "2023-01-06",
    ];
    let told = |more: &[&str]| {
        let records = ["--records", &records.to_string_lossy()];
        driftbook(&[&arguments[..], &records, more].concat()).stdout
    };
    let words = told(&[]);
    says!(words, &format!("no statement and no probability: {why}"));
    let unstated = "allows no statement on control before a person has judged what is said next";
    assert!(words.contains(unstated), "{words}");
    says_not!(words.to_lowercase(), "in control");
    says!(words, "Value: carry no value before a person has judged it");
    let json: serde_json::Value = serde_json::from_str(&told(&["--json"])).unwrap();
    let json = json.get(0).unwrap_or(&json);
    assert_eq!(json["conformity"], "unknown");
    assert_eq!(json["value"], "unconfirmed");
    for key in [
        "probability_in_tolerance",
        "probability_now",
        "control",
        "in_control",
    ] {
        assert!(json[key].is_null(), "{key}: {json}");
    }
    assert_eq!(json["needs_person"], true);
}

#[test]
fn a_named_source_has_an_offset_of_its_own_and_no_item_drifts_for_it() {
    let folder = tempfile::tempdir().unwrap();
    let checks = shifted(30, |late| if late { ",REF-B" } else { ",REF-A" });
    let out = report(folder.path(), &format!("{HEADER},source"), &checks, "");
    assert!(!out.join("shared_shifts.csv").exists());
    let sources = read_csv(&out.join("sources.csv")).rows;
    let number = |row: usize, column: &str| sources[row][column].parse::<f64>().unwrap();
    let step = number(1, "offset") - number(0, "offset");
    near!(step, 0.3, 6.0 * number(0, "u_offset"), "{sources:?}");
    assert_eq!(
        (sources[0]["readings_moved"].as_str(), number(0, "readings")),
        ("720", 720.0)
    );
    for row in read_csv(&out.join("decisions.csv")).rows {
        let [drift, error] =
            ["drift_per_year", "u_drift_per_year"].map(|c| row[c].parse::<f64>().unwrap());
        near!(drift, 0.02, 4.0 * error, "{drift} ± {error}");
    }
    let summary = fs::read_to_string(out.join("summary.md")).unwrap();
    says!(
        summary,
        "Sources of the readings",
        "brought to the level of later sources"
    );
}

#[test]
fn a_revaluation_corrects_every_reading_that_rests_on_the_reference() {
    let folder = tempfile::tempdir().unwrap();
    let checks = shifted(30, |late| if late { ",REF-B" } else { ",REF-A" });
    let file = folder.path().join("revaluations.csv");
    fs::write(&file, "reference,date,correction\nREF-B,2022-01-01,-0.3\n").unwrap();
    let settings = "revaluations = \"revaluations.csv\"";
    let out = report(
        folder.path(),
        &format!("{HEADER},source"),
        &checks,
        settings,
    );
    let sources = read_csv(&out.join("sources.csv")).rows;
    let number = |row: usize, column: &str| sources[row][column].parse::<f64>().unwrap();
    let step = number(1, "offset") - number(0, "offset");
    assert!(step.abs() < 6.0 * number(0, "u_offset"), "{sources:?}");
    let warnings = fs::read_to_string(out.join("warnings.csv")).unwrap();
    says!(
        warnings,
        "REF-B revalued from 2022-01-01 on: 120 readings of 30 histories corrected by -0.3 mm"
    );
    for (lines, told) in [
        (
            "REF-B,2022-01-01,-0.3\nREF-B,2022-01-01,-0.2\n",
            "a second line for REF-B",
        ),
        (
            "REF-B,yesterday,-0.3\n",
            "date \"yesterday\" cannot be read",
        ),
        (
            "REF-B,2022-01-01,much\n",
            "correction \"much\" cannot be read",
        ),
    ] {
        fs::write(&file, format!("reference,date,correction\n{lines}")).unwrap();
        let (status, words) = run(folder.path());
        assert!(status != 0 && words.contains(told), "{words}");
    }
}

/// E_n of a calibration by another laboratory, and a certificate's value as a reading.
#[test]
fn calibrations_and_certificates_are_held_against_their_prediction() {
    let folder = tempfile::tempdir().unwrap();
    let mut checks = shifted(3, |_| ",,check,,")
        .lines()
        .filter(|l| !l.contains("2022-"))
        .collect::<Vec<_>>()
        .join("\n");
    checks += "\nG-00,2022-02-01,0.95,0.1,-1,1,mm,LAB-Z,comparison,,\nG-01,2022-02-01,,,-1,1,mm,LAB-Z,,0.12,0.02\n";
    let header = format!("{HEADER},source,kind,assigned,u_assigned");
    let out = report(folder.path(), &header, &checks, "");
    let rows = read_csv(&out.join("comparisons.csv")).rows;
    let of = |name: &str| rows.iter().find(|row| row["instrument"] == name).unwrap();
    let e_n: f64 = of("G-00")["e_n"].parse().unwrap();
    assert!(e_n > 1.0, "{rows:?}");
    let certificate = of("G-01");
    assert_eq!(certificate["kind"], "calibration");
    assert_eq!(
        (
            certificate["assigned"].as_str(),
            certificate["u_assigned"].as_str()
        ),
        ("0.12", "0.02")
    );
}

/// A step of the reference of three u, known by the source's name, moves no drift by more than a tenth
/// of its standard error: the same records with and without it.
#[test]
fn a_step_of_a_named_reference_moves_no_drift() {
    let drifts = |step: bool| {
        let folder = tempfile::tempdir().unwrap();
        let checks = shifted(30, |late| if late { ",REF-B" } else { ",REF-A" });
        let without = |line: &str| {
            let mut cells: Vec<String> = line.split(',').map(String::from).collect();
            if cells[7] == "REF-B" && !step {
                cells[2] = format!("{:.4}", cells[2].parse::<f64>().unwrap() - 0.3);
            }
            cells.join(",") + "\n"
        };
        let checks: String = checks.lines().map(without).collect();
        let out = report(folder.path(), &format!("{HEADER},source"), &checks, "");
        let rows = read_csv(&out.join("decisions.csv")).rows;
        let pair = |row: &std::collections::BTreeMap<String, String>| {
            ["drift_per_year", "u_drift_per_year"].map(|c| row[c].parse::<f64>().unwrap())
        };
        rows.iter().map(pair).collect::<Vec<_>>()
    };
    for (with, without) in drifts(true).iter().zip(drifts(false)) {
        near!(with[0], without[0], 0.1 * without[1]);
    }
}

#[test]
fn a_compared_group_is_adjusted_under_its_restraint_alone() {
    let folder = tempfile::tempdir().unwrap();
    let design =
        fs::read_to_string(crate::tool::root().join("data/designs/four-masses.toml")).unwrap();
    let file = folder.path().join("design.toml");
    let told = |text: &str| {
        fs::write(&file, text).unwrap();
        driftbook(&["compare", &file.to_string_lossy()])
    };
    let done = told(&design);
    // e-Handbook 2.3.4.1: factors of the design 1,1,1,1, restraint on the first two. Recomputed with
    // numpy 2: for X the six rows of +1 and -1 and r = (1, 1, 0, 0), the roots of the diagonal of
    // the first four rows and columns of numpy.linalg.inv([[X'X, r'], [r, 0]]) are
    // 0.353553, 0.353553, 0.612372, 0.612372; and so by least squares on the three free values
    // (a, -a, c, d).
    assert!(
        done.stdout.contains("0.3536") && done.stdout.contains("0.6124"),
        "{}",
        done.stdout
    );
    says!(done.stdout, "3 degrees of freedom");
    let without: String = design
        .lines()
        .filter(|l| !l.starts_with("restraint"))
        .map(|l| format!("{l}\n"))
        .collect();
    let refused = told(&without).ended(2);
    says!(refused.stderr, "no restraint");
}

/// A group of five, all ten differences, of which one was written down 0.1 off.
const SLIPPED: &str = r#"
date = "2026-05-04"
unit = "mg"
restraint = { items = ["A"], value = 0.4, u = 0.01 }
difference = [
    { plus = ["A"], minus = ["B"], value = 0.390 },
    { plus = ["A"], minus = ["C"], value = 0.601 },
    { plus = ["A"], minus = ["D"], value = 0.099 },
    { plus = ["A"], minus = ["E"], value = 0.896 },
    { plus = ["B"], minus = ["C"], value = 0.308 },
    { plus = ["B"], minus = ["D"], value = -0.294 },
    { plus = ["B"], minus = ["E"], value = 0.510 },
    { plus = ["C"], minus = ["D"], value = -0.495 },
    { plus = ["C"], minus = ["E"], value = 0.298 },
    { plus = ["D"], minus = ["E"], value = 0.798 },
]
"#;

/// Of such a group no value is handed on: its u would be the stated one, however far the differences lie apart.
#[test]
fn a_compared_group_whose_differences_do_not_fit_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("design.toml");
    let path = file.to_string_lossy();
    let told = |text: &str, more: &[&str]| {
        fs::write(&file, text).unwrap();
        driftbook(&[&["compare", &path], more].concat())
    };
    // By numpy 2 and scipy: the externally studentised residual of the fifth difference is 26.17 with 5 degrees of
    // freedom, p = 1.52e-6, times ten; a fit without it leads to a difference 0.100 smaller.
    let apart = told(SLIPPED, &[]).ended(3);
    says!(
        apart.stdout,
        "Difference 5 (B − C) lies 0.100\u{a0}mg from what the others lead to (p < 0.0001)"
    );
    says_not!(apart.stdout, "scatter by more");
    let stated = SLIPPED.replace("unit =", "u_difference = 0.004\nunit =");
    let scattered = told(&stated, &[]).ended(3);
    says!(
        scattered.stdout,
        "scatter by more than the stated u_difference of 0.004\u{a0}mg"
    );
    let rows = told(&stated, &["--csv"]).ended(1);
    assert_eq!(rows.stdout, "");
    says!(rows.stderr, "no values are given", "Difference 5");
    // Put right, it fits by either.
    for text in [SLIPPED, &stated] {
        let right = told(&text.replace("0.308", "0.208"), &[]).ended(0);
        says!(right.stdout, "5 B − C", "residual");
    }
    let exact = "restraint = { items = [\"A\"], value = 1, u = 0.1 }\ndifference = [\n\
        { plus = [\"A\"], minus = [\"B\"], value = 1 },\n{ plus = [\"B\"], minus = [\"A\"], value = -1 },\n]\n";
    says!(told(exact, &[]).ended(2).stderr, "without any scatter");
}
