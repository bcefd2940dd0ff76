/*! A verdict says what the stored history says, and recording it never damages a file. */

use assert_cmd::Command;
use std::path::Path;

fn driftbook() -> Command {
    Command::cargo_bin("driftbook").unwrap()
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
    let output = driftbook()
        .args([
            "verdict",
            "G-1",
            "0.5",
            "--u",
            "0.05",
            "--date",
            "2026-01-01",
            "--records",
        ])
        .arg(&records)
        .output()
        .unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    assert_eq!(text.lines().count(), 5, "{text}");
    assert!(
        text.contains("in control") && !text.contains("NOT in control"),
        "{text}"
    );
    assert!(text.contains("in tolerance"), "{text}");
    assert!(text.contains("In doubt: nothing"), "{text}");
    assert_eq!(output.status.code(), Some(0), "{text}");
}

#[test]
fn status_three_for_a_jump_and_for_out_of_tolerance() {
    let folder = tempfile::tempdir().unwrap();
    let records = records(folder.path());
    for value in ["0.95", "1.6"] {
        let output = driftbook()
            .args([
                "verdict",
                "G-1",
                value,
                "--u",
                "0.05",
                "--date",
                "2026-01-01",
                "--json",
                "--records",
            ])
            .arg(&records)
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(3));
        let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
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
    let run = || {
        driftbook()
            .args([
                "verdict",
                "G-1",
                "0.5",
                "--u",
                "0.05",
                "--date",
                "2026-01-01",
                "--records",
            ])
            .arg(&records)
            .arg("--record")
            .arg(&records)
            .output()
            .unwrap()
    };
    assert_eq!(run().status.code(), Some(0));
    let after = std::fs::read_to_string(&records).unwrap();
    assert_eq!(
        after,
        format!("{before},G-1,,2026-01-01,0.5,0.05,,,check,mm\n")
    );
    let again = run();
    assert_eq!(again.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&again.stderr).contains("recorded already"));
    assert_eq!(std::fs::read_to_string(&records).unwrap(), after);
}

#[test]
fn a_reading_from_standard_input() {
    let folder = tempfile::tempdir().unwrap();
    let records = records(folder.path());
    let output = driftbook()
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
    let error = |arguments: &[&str]| {
        let output = driftbook()
            .arg("verdict")
            .args(arguments)
            .arg("--records")
            .arg(&records)
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        String::from_utf8(output.stderr).unwrap()
    };
    assert!(error(&["G-2", "0.5"]).contains("did you mean G-1?"));
    assert!(error(&["G-1", "0.5", "--date", "2020-01-01"]).contains("last stored check"));
    assert!(error(&["G-1", "0.5", "--date", "soon"]).contains("YYYY-MM-DD"));
    assert!(error(&["G-1", "0.5", "--u", "-1"]).contains("below 0"));
}
