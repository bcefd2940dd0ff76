/*! What rests on a session whose check standard was out of control: until a person has judged it no
probability, no value and no control are stated, by a run and by a verdict alike, also where the
check standard stands in a group of its own. */

use crate::tool::{driftbook, read_csv};
use serde_json::Value;
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// A check standard, alone in its group, that jumps from the 30th month on, and three items of another
/// group checked once a year; AL-1's last check lies on the day of the jump.
fn laboratory(folder: &Path, more: &str) -> PathBuf {
    let mut checks = String::from("instrument,point,date,as_found,u,unit,lower,upper,kind\n");
    for month in 0..31 {
        let jump = if month == 30 { 9.0 } else { 0.0 };
        let value = jump + f64::from(month * 7 % 5) * 0.5;
        let (year, month) = (2022 + month / 12, month % 12 + 1);
        writeln!(checks, "CS-1,p,{year}-{month:02}-15,{value},0.5,mV,,,check").unwrap();
    }
    for year in 2018..=2024 {
        let value = 0.7 * f64::from(year - 2018);
        writeln!(checks, "AL-5,p,{year}-07-15,{value:.1},0.5,mV,-5,5,check").unwrap();
    }
    for (name, day) in [
        ("AL-1", "07-15"),
        ("AL-2", "06-10"),
        ("AL-3", "06-11"),
        ("AL-4", "05-07"),
    ] {
        for year in 2018..=2024 {
            let value = f64::from(year * 3 % 4) * 0.2;
            writeln!(checks, "{name},p,{year}-{day},{value},0.5,mV,-5,5,check").unwrap();
        }
    }
    let register = "instrument,group,role\nCS-1,standards,check standard\nAL-1,meters,\nAL-2,meters,\nAL-3,meters,\nAL-4,meters,\nAL-5,meters,\n";
    std::fs::write(folder.join("checks.csv"), checks + more).unwrap();
    std::fs::write(folder.join("register.csv"), register).unwrap();
    let plan = folder.join("plan.toml");
    let settings = "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n[control]\nabout = \"constant\"\n";
    std::fs::write(&plan, settings).unwrap();
    plan
}

/// The row of `instrument` in the decisions of a run.
fn decided(plan: &Path, instrument: &str) -> std::collections::BTreeMap<String, String> {
    let out = plan.with_file_name(format!("report-{instrument}"));
    let (plan, out_text) = (plan.to_string_lossy(), out.to_string_lossy());
    let done = driftbook(&[
        "run",
        &plan,
        "--out",
        &out_text,
        "--as-of",
        "2024-12-01",
        "--quiet",
    ]);
    assert!(matches!(done.status, 0 | 3), "{}", done.stderr);
    let rows = read_csv(&out.join("decisions.csv")).rows;
    let own = rows.into_iter().find(|row| row["instrument"] == instrument);
    own.unwrap()
}

fn judged(plan: &Path, arguments: &[&str]) -> Value {
    let plan = plan.to_string_lossy();
    let given = [
        &["verdict", arguments[0], "--records", &plan, "--json"],
        &arguments[1..],
    ]
    .concat();
    let done = driftbook(&given).ended(3);
    let told: Value = serde_json::from_str(&done.stdout).unwrap();
    told.get(0).cloned().unwrap_or(told)
}

#[test]
fn no_probability_and_no_value_rest_on_a_session_out_of_control() {
    let folder = tempfile::tempdir().unwrap();
    let plan = laboratory(folder.path(), "");
    let row = decided(&plan, "AL-1");
    assert_eq!(row["action"], "review", "{}", row["reason"]);
    assert_eq!(row["probability_in_tolerance"], "", "{}", row["reason"]);
    says!(
        row["reason"],
        "rests on a session in which the check standard CS-1"
    );
    // Of one that drifts towards its limit neither: its reason says what is to be done, and how likely it is in tolerance no more.
    for name in ["AL-1", "AL-5"] {
        let row = decided(&plan, name);
        let told = row["reason"].replace("the target of 95 %", "the target");
        assert!(!told.contains('%'), "{told}");
    }
    let drifts = decided(&plan, "AL-5");
    says!(drifts["reason"], "Yet ");
    let other = decided(&plan, "AL-2");
    assert_ne!(other["probability_in_tolerance"], "", "{}", other["reason"]);
    let asked = driftbook(&[
        "value",
        "AL-1",
        "--date",
        "2024-12-01",
        "--records",
        &plan.to_string_lossy(),
    ])
    .ended(3);
    assert!(
        asked.stdout.contains("the check standard CS-1")
            && asked.stdout.contains("nobody has judged"),
        "{}{}",
        asked.stdout,
        asked.stderr
    );
}

/// A later reading of AL-1 is not judged by what its doubtful check predicts, and says so.
#[test]
fn no_control_is_stated_against_what_an_open_session_predicts() {
    let folder = tempfile::tempdir().unwrap();
    let plan = laboratory(folder.path(), "");
    let told = judged(
        &plan,
        &["AL-1", "0.2", "--u", "0.5", "--date", "2024-12-01"],
    );
    assert_eq!(told["control"], Value::Null);
    assert_eq!(told["in_control"], Value::Null);
    let why = told["control_missing"].as_str().unwrap();
    says!(why, "check standard CS-1");
    assert_eq!(told["value"], "unconfirmed");
    assert_eq!(told["conformity"], "conforming", "{told}");
    let words = told["lines"][0].as_str().unwrap();
    says!(
        words,
        "allows no statement on control, since the check of 2024-07-15 rests on"
    );
}

/// AL-2 is read on the day of the jump: a verdict knows the check standard of the other group, as a run
/// with the reading among its records does.
#[test]
fn a_verdict_knows_the_check_standards_of_other_groups() {
    let folder = tempfile::tempdir().unwrap();
    let plan = laboratory(folder.path(), "");
    let told = judged(
        &plan,
        &["AL-2", "0.2", "--u", "0.5", "--date", "2024-07-15"],
    );
    assert_eq!(told["conformity"], "unknown", "{told}");
    assert_eq!(told["control"], Value::Null);
    let other = tempfile::tempdir().unwrap();
    let plan = laboratory(other.path(), "AL-2,p,2024-07-15,0.2,0.5,mV,,,check\n");
    let row = decided(&plan, "AL-2");
    assert_eq!(told["action"], row["action"].as_str());
    let asks = "in which the check standard CS-1, p was out of control";
    assert!(row["reason"].contains(asks), "{}", row["reason"]);
    assert!(told["reason"].as_str().unwrap().contains(asks), "{told}");
}
