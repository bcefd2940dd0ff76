/*! A full disk and a folder that may not be written: clear words, nothing lost, nothing left over. */

#![cfg(unix)]

use crate::laboratory::{Laboratory, files};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Command, Output};

const ARGUMENTS: [&str; 3] = ["run", "monthly.toml", "--as-of"];

/// Runs the job with files of at most `kilobytes`: a write beyond fails as on a full disk.
fn run_on_a_full_disk(lab: &Laboratory, day: &str, kilobytes: u32) -> Output {
    let program = assert_cmd::cargo::cargo_bin!("driftbook");
    // The signal that comes with the limit is ignored, so that the write itself fails.
    let script = format!("trap '' XFSZ; ulimit -f {}; exec \"$@\"", 2 * kilobytes);
    let mut command = Command::new("sh");
    command.args(["-c", &script, "sh"]).arg(program);
    command.args(ARGUMENTS).arg(day);
    command.current_dir(lab.folder()).output().unwrap()
}

fn complaint(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).unwrap();
    let mut names: Vec<String> = entries
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn a_full_disk_is_told_and_the_last_report_stands() {
    let lab = Laboratory::with("reports/x", "charts = \"flagged\"\n");
    assert!(lab.run(&["--as-of", "2026-05-31"]).success());
    let report = lab.folder().join("reports/x");
    let before = files(&report);
    for kilobytes in [1, 4, 16, 64] {
        let output = run_on_a_full_disk(&lab, "2026-06-30", kilobytes);
        let text = complaint(&output);
        assert_eq!(output.status.code(), Some(1), "{kilobytes} kB: {text}");
        assert!(text.starts_with("error: cannot write "), "{text}");
        says!(text, "File too large");
        assert!(
            text.contains("Free some space") && text.contains("stood before, whole"),
            "{text}"
        );
        assert_eq!(files(&report), before);
        assert_eq!(names(&lab.folder().join("reports")), ["ledger.jsonl", "x"]);
    }
    says!(
        lab.read("reports/ledger.jsonl"),
        "\"result\":\"failed: cannot write"
    );
    let (output, text) = lab.output(&["--as-of", "2026-06-30"]);
    assert!(output.status.success(), "{text}");
    says!(lab.read("reports/x/run.json"), "2026-06-30");
}

#[test]
fn a_folder_that_may_not_be_written_is_told() {
    let lab = Laboratory::with("reports/x", "charts = \"flagged\"\n");
    assert!(lab.run(&["--as-of", "2026-05-31"]).success());
    let reports = lab.folder().join("reports");
    let before = files(&reports);
    let permit = |mode| std::fs::set_permissions(&reports, std::fs::Permissions::from_mode(mode));
    permit(0o555).unwrap();
    if std::fs::write(reports.join("probe"), "").is_ok() {
        std::fs::remove_file(reports.join("probe")).unwrap();
        permit(0o755).unwrap();
        return eprintln!("skipped: this user may write anywhere");
    }
    let (output, text) = lab.output(&["--as-of", "2026-06-30"]);
    permit(0o755).unwrap();
    assert_eq!(output.status.code(), Some(1), "{text}");
    assert!(
        text.contains("reports") && text.contains("denied"),
        "{text}"
    );
    assert_eq!(files(&reports), before);
}
