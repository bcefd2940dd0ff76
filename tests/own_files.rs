/*! Nothing that a person made is ever removed, replaced or steered by: folders, links, pipes, names. */

use crate::laboratory::{Laboratory, files};
use std::path::Path;
use std::process::{Command, Output};

const CHECKS: &str = "instrument,date,as_found,u,lower,upper\n\
    A,2024-01-01,1,0.1,-5,5\nA,2025-01-01,1.2,0.1,-5,5\nA,2026-01-01,1.1,0.1,-5,5\n";

fn driftbook(place: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin!("driftbook"));
    command.current_dir(place).args(arguments).output().unwrap()
}

fn words(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

/// A folder with records under names that a report uses too.
fn a_lab() -> tempfile::TempDir {
    let place = tempfile::tempdir().unwrap();
    for name in ["sessions.csv", "decisions.csv", "kept/thesis.csv"] {
        let path = place.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, CHECKS).unwrap();
    }
    place
}

#[test]
fn an_output_on_a_folder_of_records_is_refused() {
    let lab = a_lab();
    let before = files(lab.path());
    let refused = |arguments: &[&str], word: &str| {
        let output = driftbook(lab.path(), arguments);
        assert_eq!(output.status.code(), Some(1), "{}", words(&output));
        says!(words(&output), word);
        assert!(files(lab.path()) == before, "{arguments:?}");
    };
    refused(
        &["run", "sessions.csv", "--out", "."],
        "which this run reads",
    );
    refused(&["run", "sessions.csv", "--out", "kept"], "thesis.csv");
    refused(
        &["replay", "sessions.csv", "--out", "kept/.."],
        "which this run reads",
    );
    refused(&["run", "--out", "kept"], "thesis.csv");
}

#[test]
fn a_foreign_file_in_a_report_stops_the_next_run() {
    let lab = Laboratory::with("reports/x", "charts = \"flagged\"\n");
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    for name in ["thesis.doc", "charts/photo.jpg", "kept/more/notes.txt"] {
        let path = lab.folder().join("reports/x").join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, "dear").unwrap();
        let (output, text) = lab.output(&["--as-of", "2026-06-30", "--force"]);
        assert_eq!(output.status.code(), Some(1), "{text}");
        says!(text, "which Driftbook did not write");
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "dear");
        std::fs::remove_file(&path).unwrap();
    }
    std::fs::remove_dir(lab.folder().join("reports/x/kept/more")).unwrap();
    assert!(lab.run(&["--as-of", "2026-06-30", "--force"]).success());
}

#[test]
fn a_table_that_was_cut_is_made_anew() {
    let lab = Laboratory::with("reports/x", "charts = \"none\"\n");
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    let table = lab.folder().join("reports/x/decisions.parquet");
    std::fs::write(&table, "").unwrap();
    let (_, text) = lab.output(&["--as-of", "2026-06-30"]);
    says_not!(text, "Nothing was made anew");
    assert!(std::fs::metadata(&table).unwrap().len() > 0);
}

#[test]
fn a_ledger_line_that_points_elsewhere_is_passed_over() {
    let lab = Laboratory::with("reports/x", "charts = \"none\"\n");
    assert!(lab.run(&["--as-of", "2026-05-31"]).success());
    let dear = lab.folder().join(".dear.spare");
    std::fs::create_dir(&dear).unwrap();
    std::fs::write(dear.join("thesis.doc"), "dear").unwrap();
    let beside = lab.folder().join("reports/.dear.spare");
    std::fs::create_dir(&beside).unwrap();
    std::fs::write(beside.join("thesis.doc"), "dear").unwrap();
    for folder in ["../dear", "dear"] {
        lab.edit("reports/ledger.jsonl", |text| {
            text.replace("\"folder\":\"x\"", &format!("\"folder\":\"{folder}\"")) + text
        });
        let (output, text) = lab.output(&["--as-of", "2026-06-30", "--force"]);
        assert!(output.status.success(), "{text}");
    }
    assert!(dear.join("thesis.doc").exists() && beside.join("thesis.doc").exists());
}

#[test]
fn a_run_does_not_read_its_own_report() {
    let place = tempfile::tempdir().unwrap();
    let lab = place.path().join("lab");
    std::fs::create_dir(&lab).unwrap();
    std::fs::write(lab.join("checks.csv"), CHECKS).unwrap();
    let run = || words(&driftbook(&lab, &["run", ".", "--as-of", "2026-06-30"]));
    says!(run(), "3 read");
    let second = run();
    says!(
        second,
        "reports/lab is a report of this program",
        "Nothing was made anew"
    );
}

#[test]
fn simulated_records_and_converted_tables_replace_nothing_unasked() {
    let lab = tempfile::tempdir().unwrap();
    let register = lab.path().join("register.csv");
    std::fs::write(&register, "instrument\nmine\n").unwrap();
    let simulate = ["simulate", "demo", "--out", "."];
    let output = driftbook(lab.path(), &simulate);
    says!(words(&output), "register.csv is already there");
    assert_eq!(files(lab.path()).len(), 1, "nothing was written at all");
    let convert = [
        "convert",
        "--iec-60751",
        "--csv",
        "r.csv",
        "--column",
        "ohm",
        "--out",
        "r.csv",
    ];
    std::fs::write(lab.path().join("r.csv"), "ohm\n100\n").unwrap();
    let output = driftbook(lab.path(), &convert);
    says!(words(&output), "r.csv is already there");
    let kept = std::fs::read_to_string(lab.path().join("r.csv")).unwrap();
    assert_eq!(kept, "ohm\n100\n");
    assert!(
        driftbook(lab.path(), &[&simulate[..], &["--replace"]].concat())
            .status
            .success()
    );
    assert_ne!(
        std::fs::read_to_string(&register).unwrap(),
        "instrument\nmine\n"
    );
}

#[test]
fn the_demo_says_so_and_stays_where_the_person_stands() {
    let here = tempfile::tempdir().unwrap();
    let told = words(&driftbook(here.path(), &["run", "--charts", "none"]));
    assert!(told.starts_with("Demo: an invented laboratory."), "{told}");
    let summary = std::fs::read_to_string(here.path().join("reports/demo/summary.md")).unwrap();
    says!(summary, "Demo: an invented laboratory.");
    for arguments in [
        &["explain", "TH-003"][..],
        &[
            "verdict",
            "TH-003",
            "1",
            "--date",
            "2027-04-01",
            "--allow-future",
        ],
    ] {
        let output = driftbook(here.path(), arguments);
        assert_eq!(output.status.code(), Some(2));
        says!(words(&output), "which records?");
        let output = driftbook(here.path(), &[arguments, &["--demo"]].concat());
        assert_ne!(output.status.code(), Some(2), "{}", words(&output));
        says!(words(&output), "Demo: an invented laboratory.");
    }
}

#[test]
fn names_from_a_file_do_not_steer_the_terminal() {
    let lab = tempfile::tempdir().unwrap();
    let text = CHECKS
        .replace("A,", "\u{1b}[31mA\u{9b}2J,")
        .replace("-5,5", "-0.1,0.1");
    std::fs::write(lab.path().join("checks.csv"), text).unwrap();
    let told = words(&driftbook(
        lab.path(),
        &["run", "checks.csv", "--as-of", "2026-06-30"],
    ));
    assert!(!told.contains(['\u{1b}', '\u{9b}']), "{told:?}");
    says!(told, "3 read");
    std::fs::write(lab.path().join("bad.csv"), "\u{1b}[31mx,date\n1,2\n").unwrap();
    let told = words(&driftbook(lab.path(), &["run", "bad.csv"]));
    assert!(
        told.contains("\\u{1b}") && !told.contains('\u{1b}'),
        "{told:?}"
    );
}

#[test]
fn threads_and_look_ahead_are_bounded() {
    let lab = tempfile::tempdir().unwrap();
    std::fs::write(lab.path().join("checks.csv"), CHECKS).unwrap();
    let run = [
        "run",
        "checks.csv",
        "--as-of",
        "2026-06-30",
        "--threads",
        "65535",
    ];
    let output = driftbook(lab.path(), &run);
    assert!(output.status.success());
    says!(words(&output), "65535 threads are more");
    for cap in ["1e18", "1e300"] {
        let text = format!("[checks]\nfiles = [\"checks.csv\"]\n[intervals]\ncap_days = {cap}\n");
        std::fs::write(lab.path().join("far.toml"), text).unwrap();
        let output = driftbook(lab.path(), &["run", "far.toml"]);
        assert_eq!(output.status.code(), Some(2));
        says!(words(&output), "at most 36525");
    }
    let text = "[checks]\nfiles = [\"checks.csv\"]\nlargest_file_mb = 1\n";
    std::fs::write(lab.path().join("small.toml"), text).unwrap();
    let large = std::fs::File::create(lab.path().join("checks.csv")).unwrap();
    large.set_len(1 << 21).unwrap();
    let output = driftbook(lab.path(), &["run", "small.toml"]);
    says!(words(&output), "largest_file_mb");
}

#[test]
fn the_points_of_a_chart_do_not_grow_with_the_use() {
    let lab = tempfile::tempdir().unwrap();
    let rows = |far: &str| {
        let used = ["0", "1000", "2000", far, "10"];
        let row = |(year, used): (usize, &&str)| {
            format!("A,{}-01-01,0.{year},0.1,-5,5,{used}\n", 2020 + year)
        };
        used.iter().enumerate().map(row).collect::<String>()
    };
    let text = "[checks]\nfiles = [\"checks.csv\"]\n[drift]\naxis = \"usage\"\n";
    std::fs::write(lab.path().join("use.toml"), text).unwrap();
    for far in ["10000000", "1e300", "1e308"] {
        let table = format!(
            "instrument,date,as_found,u,lower,upper,usage\n{}",
            rows(far)
        );
        std::fs::write(lab.path().join("checks.csv"), table).unwrap();
        let output = driftbook(lab.path(), &["run", "use.toml", "--as-of", "2026-06-30"]);
        assert!(
            output.status.code().is_some_and(|code| code < 2),
            "{}",
            words(&output)
        );
        says_not!(words(&output), "panicked");
    }
}

#[cfg(unix)]
#[test]
fn pipes_and_devices_are_refused_and_links_stand_for_what_they_point_to() {
    let lab = Laboratory::with("reports/x", "charts = \"none\"\n");
    let folder = lab.folder();
    let pipe = folder.join("pipe.csv");
    assert!(
        Command::new("mkfifo")
            .arg(&pipe)
            .status()
            .unwrap()
            .success()
    );
    for arguments in [
        &["run", "pipe.csv"][..],
        &["run", "/dev/zero"],
        &["start", "pipe.csv"],
        &[
            "convert",
            "--iec-60751",
            "--csv",
            "pipe.csv",
            "--column",
            "x",
        ],
        &[
            "verdict",
            "A",
            "1",
            "--records",
            "monthly.toml",
            "--file",
            "pipe.csv",
        ],
        &["simulate", "pipe.csv", "--out", "fleets"],
    ] {
        let output = driftbook(&folder, arguments);
        assert!(!output.status.success(), "{arguments:?}");
    }
    let whole = lab.read("monthly.toml");
    let jobs = format!("{whole}[jobs]\nfile = \"pipe.csv\"\n");
    let register = whole.replace("\"register.csv\"", "\"pipe.csv\"");
    for pipeline in [jobs, register] {
        lab.edit("monthly.toml", |_| pipeline.clone());
        let (output, text) = lab.output(&["--as-of", "2026-06-30"]);
        assert!(
            !output.status.success() && text.contains("only plain files"),
            "{text}"
        );
    }
    lab.edit("monthly.toml", |_| whole.clone());
    std::fs::create_dir_all(folder.join("behind")).unwrap();
    let link = folder.join("reports/x");
    std::fs::create_dir_all(folder.join("reports")).unwrap();
    std::os::unix::fs::symlink("../behind", &link).unwrap();
    for day in ["2026-05-31", "2026-06-30"] {
        let (output, text) = lab.output(&["--as-of", day]);
        assert!(output.status.success(), "{text}");
        assert!(lab.read("behind/run.json").contains(day));
    }
    assert!(std::fs::symlink_metadata(&link).unwrap().is_symlink());
}

/// A note written into a page, a figure changed in a table: kept beside the report, told, and the
/// report is made anew as if they were not there.
#[test]
fn what_a_person_changed_in_a_report_is_kept_beside_it() {
    let lab = Laboratory::with("reports/x", "");
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    let report = lab.folder().join("reports/x");
    let page = report.join("groups/gauge-block.html");
    let table = report.join("decisions.csv");
    let (old_page, old_table) = (read(&page), read(&table));
    std::fs::write(&page, format!("{old_page}<p>Ask about GB-003.</p>")).unwrap();
    let figures = old_table.replace("365", "366");
    assert_eq!(figures.len(), old_table.len());
    std::fs::write(&table, &figures).unwrap();
    // As a person would: long after the run.
    let closed = std::fs::metadata(report.join("run.json")).unwrap();
    let later = closed.modified().unwrap() + std::time::Duration::from_secs(3_600);
    let file = std::fs::File::options().append(true).open(&table).unwrap();
    file.set_modified(later).unwrap();
    let (output, text) = lab.output(&["--as-of", "2026-06-30"]);
    assert!(output.status.success(), "{text}");
    says!(text, "decisions.csv and 1 more", "changed by hand; kept in");
    let aside = lab.folder().join("reports/x-edited-1");
    assert_eq!(read(&aside.join("decisions.csv")), figures);
    assert!(read(&aside.join("groups/gauge-block.html")).ends_with("<p>Ask about GB-003.</p>"));
    assert_eq!((read(&page), read(&table)), (old_page, old_table));
    let (_, text) = lab.output(&["--as-of", "2026-06-30"]);
    says!(text, "Nothing was made anew");
    assert!(!lab.folder().join("reports/x-edited-2").exists());
}

fn read(file: &Path) -> String {
    std::fs::read_to_string(file).unwrap()
}
