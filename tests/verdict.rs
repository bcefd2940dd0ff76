/*! A verdict says what the stored history says, and recording it never damages a file. */

#[path = "verdict/near_limits.rs"]
mod near_limits;
#[path = "verdict/together.rs"]
mod together;

use crate::tool::{Done, driftbook, read_csv};
use assert_cmd::Command;
use std::path::Path;

/// What is said of a reading of the gauge on 2026-01-01, u = 0.05.
fn of_g1(records: &Path, value: &str, more: &[&str]) -> Done {
    let reading = [
        "verdict",
        "G-1",
        value,
        "--u",
        "0.05",
        "--date",
        "2026-01-01",
    ];
    let records = ["--records", records.to_str().unwrap()];
    driftbook(&[&reading[..], &records, more].concat())
}

/// The same as JSON.
fn json(done: &Done) -> serde_json::Value {
    assert!(!done.stdout.is_empty(), "{}", done.stderr);
    serde_json::from_str(&done.stdout).unwrap()
}

/// A gauge that drifts by 0.1 a year, checked half-yearly and calibrated yearly, u = 0.05.
fn records(folder: &Path) -> std::path::PathBuf {
    let mut text = String::from("owner,instrument,point,date,as_found,u,lower,upper,kind,unit\n");
    let noise = [
        0.01, -0.03, 0.02, 0.04, -0.02, -0.01, 0.03, 0.0, -0.04, 0.02,
    ];
    for (i, noise) in noise.iter().enumerate() {
        let (year, month) = (2021 + i / 2, if i % 2 == 0 { "01" } else { "07" });
        let kind = if i % 2 == 0 { "calibration" } else { "check" };
        let value = 0.05 * i as f64 + noise;
        text += &format!("me,G-1,,{year}-{month}-01,{value},0.05,-1,1,{kind},mm\n");
    }
    let path = folder.join("records.csv");
    std::fs::write(&path, text).unwrap();
    path
}

#[test]
fn five_lines_and_status_zero_for_a_reading_as_expected() {
    let folder = tempfile::tempdir().unwrap();
    let records = records(folder.path());
    let text = of_g1(&records, "0.5", &[]).well().stdout;
    assert_eq!(text.lines().count(), 5, "{text}");
    assert!(
        text.contains("in control") && !text.contains("NOT in control"),
        "{text}"
    );
    says!(text, "in tolerance", "In doubt: nothing");
}

#[test]
fn status_three_for_a_jump_and_for_out_of_tolerance() {
    let folder = tempfile::tempdir().unwrap();
    let records = records(folder.path());
    for value in ["0.95", "1.6"] {
        let json = json(&of_g1(&records, value, &["--json"]).ended(3));
        assert_eq!(json["in_control"], false);
        assert_eq!(json["in_tolerance"], value == "0.95");
        assert_eq!(json["needs_person"], true);
    }
}

#[test]
fn recording_appends_once_and_keeps_the_rest() {
    let folder = tempfile::tempdir().unwrap();
    let records = records(folder.path());
    let before = std::fs::read_to_string(&records).unwrap();
    let run = || of_g1(&records, "0.5", &["--record", records.to_str().unwrap()]);
    run().well();
    let after = std::fs::read_to_string(&records).unwrap();
    assert_eq!(
        after,
        format!("{before},G-1,,2026-01-01,0.5,0.05,,,check,mm\n")
    );
    says!(run().ended(1).stderr, "recorded already");
    assert_eq!(std::fs::read_to_string(&records).unwrap(), after);
}

#[test]
fn a_reading_from_standard_input() {
    let folder = tempfile::tempdir().unwrap();
    let records = records(folder.path());
    let output = Command::cargo_bin("driftbook")
        .unwrap()
        .args(["verdict", "--file", "-", "--records"])
        .arg(&records)
        .write_stdin("instrument,date,as_found,u,unit\nG-1,2026-01-01,0.5,0.05,mm\n")
        .output()
        .unwrap();
    assert_eq!(
        output.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    assert_eq!(String::from_utf8(output.stdout).unwrap().lines().count(), 5);
}

#[test]
fn mistakes_are_named() {
    let folder = tempfile::tempdir().unwrap();
    let records = records(folder.path());
    let records = ["--records", records.to_str().unwrap()];
    let error = |asked: &[&str]| {
        driftbook(&[&["verdict"], asked, &records].concat())
            .ended(2)
            .stderr
    };
    says!(error(&["G-2", "0.5"]), "did you mean G-1?");
    says!(
        error(&["G-1", "0.5", "--date", "2020-01-01"]),
        "last stored check"
    );
    says!(error(&["G-1", "0.5", "--date", "soon"]), "YYYY-MM-DD");
    says!(error(&["G-1", "0.5", "--u", "-1"]), "below 0");
}

/// Six gauges in two groups with a register; the third group's name is nobody's.
fn laboratory(folder: &Path, quoted: bool) -> std::path::PathBuf {
    let mut text = String::from("instrument,point,date,as_found,u,kind,unit\n");
    let mut register = String::from("instrument,point,group,lower,upper,interval_days\n");
    for gauge in 0..6 {
        let group = if gauge < 4 { "gauges" } else { "blocks" };
        register += &format!("G-{gauge},,{group},-1,1,365\n");
        for point in ["low", "high"] {
            for check in 0..9 {
                let day = format!("20{}-0{}-11", 15 + check, 1 + gauge);
                let wave = f64::from((7 * check + 3 * gauge + point.len() as i32) % 5) * 0.02;
                let value = 0.01 * f64::from(gauge * check) + wave;
                let name = if quoted {
                    format!("\"G-{gauge}\"")
                } else {
                    format!("G-{gauge}")
                };
                text += &format!("{name},{point},{day},{value},0.02,calibration,mm\n");
            }
        }
    }
    std::fs::write(folder.join("records.csv"), text).unwrap();
    std::fs::write(folder.join("register.csv"), register).unwrap();
    let pipeline = folder.join("lab.toml");
    let methods = "[intervals]\nmethods = [\"drift_crossing\", \"reliability\", \"staircase\"]\n";
    let files = "[checks]\nfiles = [\"records.csv\"]\n[register]\nfile = \"register.csv\"\n";
    std::fs::write(&pipeline, format!("{files}{methods}")).unwrap();
    pipeline
}

/// One verdict of the laboratory as JSON.
fn verdict_of(pipeline: &Path, more: &[&str]) -> serde_json::Value {
    verdict_on("0.33", pipeline, more)
}

/// The same on a reading of this value.
fn verdict_on(value: &str, pipeline: &Path, more: &[&str]) -> serde_json::Value {
    let reading = ["verdict", "G-2", value, "--point", "high", "--u", "0.02"];
    let of = [
        "--date",
        "2024-03-11",
        "--json",
        "--records",
        pipeline.to_str().unwrap(),
    ];
    json(&driftbook(&[&reading[..], &of, more].concat()))
}

/// The verdict reads the instrument's group only, and says what a run on all records with
/// the reading in them says.
#[test]
fn a_verdict_says_what_a_run_says() {
    let said = said_alike("0.33");
    assert_eq!(said["action"], "extend");
}

/// Nobody can tell yet whether a reading far off is a mistake or a step: no interval grows on it.
#[test]
fn a_far_off_reading_holds_the_interval_until_it_is_repeated() {
    let said = said_alike("0.8");
    assert_eq!(said["in_control"], false);
    assert_eq!(said["action"], "review");
    assert_eq!(said["due_date"], "2024-03-10");
    let due = said["lines"][3].as_str().unwrap();
    says!(
        due,
        "Keep 365 d until a repeated check has been made: the reading of 2024-03-11"
    );
}

/// The verdict on a reading of `value`, once it is recorded and a run is seen to say the same.
fn said_alike(value: &str) -> serde_json::Value {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path(), false);
    let records = folder.path().join("records.csv");
    let said = verdict_on(value, &pipeline, &["--record", records.to_str().unwrap()]);
    let out = folder.path().join("report");
    let (lab, to) = (pipeline.to_str().unwrap(), out.to_str().unwrap());
    let as_of = ["--as-of", "2024-03-11", "--charts", "none"];
    driftbook(&[&["run", lab, "--quiet", "--out", to][..], &as_of].concat()).well();
    let decisions = read_csv(&out.join("decisions.csv")).rows;
    let row = decisions
        .iter()
        .find(|r| r["instrument"] == "G-2" && r["point"] == "high");
    let row = row.unwrap();
    let of = |name: &str| row[name].as_str();
    assert_eq!(said["action"], of("action"));
    assert_eq!(said["due_date"], of("due_date"));
    // What waits for a person is told beside the date that counts until then.
    let waits = of("approval") == "pending" && of("in_force_due") != of("due_date");
    let in_force = waits.then(|| of("in_force_due"));
    assert_eq!(said["in_force_due"].as_str(), in_force);
    let told = format!(
        " {}; {} once approved: ",
        of("in_force_due"),
        of("due_date")
    );
    assert_eq!(said["lines"][3].as_str().unwrap().contains(&told), waits);
    assert_eq!(of("checks"), "10");
    let drift: f64 = of("drift_per_year").parse().unwrap();
    assert_eq!(said["drift_per_year"].as_f64(), Some(drift));
    assert_eq!(said["reason"], of("reason"));
    let due = said["lines"][3].as_str().unwrap();
    let first = of("reason").split(". ").next().unwrap();
    assert!(due.contains(first), "{due}");
    said
}

/// Rows of other groups are passed over before they are parsed; where quotation marks
/// forbid that, the verdict is the same.
#[test]
fn passing_over_other_groups_changes_nothing() {
    let (plain, quoted) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let plain = verdict_of(&laboratory(plain.path(), false), &[]);
    assert_eq!(plain, verdict_of(&laboratory(quoted.path(), true), &[]));
}

/// A hint needs the names of all instruments, those of other groups too.
#[test]
fn an_unknown_instrument_is_looked_for_in_every_group() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path(), false);
    let lab = pipeline.to_str().unwrap();
    let done = driftbook(&["verdict", "G-55", "0.1", "--records", lab]).ended(2);
    says!(done.stderr, "did you mean G-5?");
}

/// Who lends to an item's drift is named: neither itself nor a history of another class.
#[test]
fn an_explanation_names_who_lends() {
    let text = driftbook(&["explain", "GB-004", "--demo", "--as-of", "2026-06-30"]).stdout;
    let (_, lenders) = text.split_once("Who lends to its drift\n").unwrap();
    let lenders = lenders.lines().next().unwrap();
    says!(
        lenders,
        "9\u{a0}histories of its class: ",
        "GB-001, 50 mm; "
    );
    says_not!(lenders, "GB-004", "TH-");
}
