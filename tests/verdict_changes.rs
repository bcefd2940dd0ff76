/*! A verdict judges a change from the value assigned and from the last certificate, not only from the last check. */

use crate::tool::driftbook;
use std::path::Path;

/// A gauge that creeps: each check is as the one before. Its certificate of 2022 assigns 0.50 ± 0.02, beside a
/// reading of 0.62 on that day.
fn said(folder: &Path, more: &str) -> serde_json::Value {
    let text = format!(
        "instrument,date,as_found,as_left,u,lower,upper,kind,event,assigned,u_assigned,unit\n\
         G-1,2021-01-01,0.60,,0.02,-2,2,calibration,,,,mm\n\
         G-1,2022-01-01,0.62,,0.02,-2,2,calibration,,0.50,0.02,mm\n\
         G-1,2023-01-01,0.64,,0.02,-2,2,check,,,,mm\n\
         {more}G-1,2025-01-01,0.68,,0.02,-2,2,check,,,,mm\n"
    );
    let records = folder.join("records.csv");
    std::fs::write(&records, text).unwrap();
    let reading = [
        "verdict",
        "G-1",
        "0.70",
        "--u",
        "0.02",
        "--date",
        "2026-01-01",
    ];
    let stored = ["--json", "--records", records.to_str().unwrap()];
    let done = driftbook(&[&reading[..], &stored[..]].concat());
    let said = serde_json::from_str(&done.stdout);
    assert!(said.is_ok(), "{}", done.stderr);
    said.unwrap()
}

fn line(said: &serde_json::Value, line: usize) -> &str {
    said["lines"][line].as_str().unwrap()
}

#[test]
fn a_creep_is_judged_from_the_certificate_in_force() {
    let folder = tempfile::tempdir().unwrap();
    let said_so = said(folder.path(), "");
    let near = |name: &str, value: f64| (said_so[name].as_f64().unwrap() - value).abs() < 1e-9;
    assert!(near("change_since_last", 0.02), "{said_so}");
    assert!(near("change_since_calibration", 0.20), "{said_so}");
    assert!(near("change_since_start", 0.20), "{said_so}");
    // 0.70 − 0.50 against √(0.02² + 0.02²): seven standard deviations.
    let value = line(&said_so, 2);
    let words = "differs from the assigned one (by 0.200, u = 0.0283, p < 0.0001)";
    says!(value, words);
}

/// A later calibration assigns nothing: the certificate stands, and both changes are told.
#[test]
fn a_later_calibration_without_a_certificate_leaves_the_value_assigned() {
    let folder = tempfile::tempdir().unwrap();
    let later = "G-1,2024-01-01,0.66,,0.02,-2,2,calibration,,,,mm\n";
    let said_so = said(folder.path(), later);
    let drift = line(&said_so, 1);
    says!(
        drift,
        "+0.02 mm since the last check on 2025-01-01",
        "+0.04 mm since the calibration on 2024-01-01",
        "+0.2 mm since the value that the certificate assigns on 2022-01-01, more than its U = 0.05657 mm"
    );
    says!(line(&said_so, 2), "the assigned one (by 0.200");
}

/// An adjustment sets the value anew: the certificate from before it says nothing of the item as it is.
#[test]
fn an_adjustment_ends_what_a_certificate_assigned() {
    let folder = tempfile::tempdir().unwrap();
    let adjusted = "G-1,2024-01-01,0.66,0.66,0.02,-2,2,calibration,adjusted,,,mm\n";
    let said_so = said(folder.path(), adjusted);
    assert!(!line(&said_so, 1).contains("certificate"), "{said_so}");
    assert!((said_so["change_since_start"].as_f64().unwrap() - 0.04).abs() < 1e-9);
}

/// The register dates a calibration that no row of the records tells of: nobody is told a change since it.
#[test]
fn a_calibration_that_no_row_tells_of_is_said_and_never_taken_from_another_row() {
    let folder = tempfile::tempdir().unwrap();
    let checks = "instrument,date,as_found,u,unit,lower,upper\n\
                  G-1,2021-03-01,0.1,0.1,mV,-2,2\nG-1,2022-03-01,0.2,0.1,mV,-2,2\nG-1,2023-03-01,0.3,0.1,mV,-2,2\n";
    std::fs::write(folder.path().join("checks.csv"), checks).unwrap();
    let register = "instrument,last_calibration\nG-1,2022-09-15\n";
    std::fs::write(folder.path().join("register.csv"), register).unwrap();
    let plan = folder.path().join("plan.toml");
    let settings = "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n";
    std::fs::write(&plan, settings).unwrap();
    let (plan, out) = (
        plan.to_string_lossy().into_owned(),
        folder.path().join("out"),
    );
    let told = driftbook(&[
        "verdict",
        "G-1",
        "0.4",
        "--u",
        "0.1",
        "--date",
        "2024-03-01",
        "--records",
        &plan,
        "--json",
    ]);
    let told: serde_json::Value = serde_json::from_str(&told.stdout).unwrap();
    let told = told.get(0).unwrap_or(&told);
    assert!(told["change_since_calibration"].is_null(), "{told}");
    let words = told["lines"][1].as_str().unwrap();
    says!(words, "no value at the calibration on 2022-09-15");
    let run = driftbook(&[
        "run",
        &plan,
        "--out",
        &out.to_string_lossy(),
        "--as-of",
        "2024-03-01",
    ]);
    assert!(
        run.stderr
            .contains("the day of the register's last calibration")
            || run
                .stdout
                .contains("the day of the register's last calibration"),
        "{}{}",
        run.stdout,
        run.stderr
    );
}
