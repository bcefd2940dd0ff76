/*! Proof by the program itself: the past replayed, fleets with known truth, the closed loop. */

use crate::laboratory::{Laboratory, files};
use std::path::Path;
use std::process::Command;

fn driftbook(folder: &Path, arguments: &[&str]) -> String {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin!("driftbook"));
    let output = command
        .current_dir(folder)
        .args(arguments)
        .output()
        .unwrap();
    let complaint = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{complaint}");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

const FLEETS: &str = r#"
seed = 11
as_of = "2026-06-30"
[[fleet]]
name = "drifters"
prefix = "DR"
instruments = 30
years = 10.0
[fleet.truth]
drift = { normal = { mean = 0.0, deviation = 0.2 } }
wander = 0.1
[fleet.schedule]
interval_days = 365.0
late_days = { normal = { mean = 0.0, deviation = 20.0 } }
"#;

#[test]
fn a_replay_is_the_same_with_any_number_of_threads_and_is_written_down() {
    let lab = Laboratory::new("report");
    let folder = lab.folder();
    let replay = |out: &str, threads: &str| {
        let arguments = ["replay", "monthly.toml", "--as-of", "2026-06-30"];
        let more = ["--out", out, "--threads", threads];
        driftbook(&folder, &[&arguments[..], &more].concat())
    };
    let told = replay("one", "1");
    says!(
        told,
        "fell inside the 95.0 % band",
        "calibrations a year against the"
    );
    replay("two", "2");
    let one = files(&folder.join("one"));
    assert_eq!(one, files(&folder.join("two")));
    for name in [
        "replay.md",
        "replay/coverage.csv",
        "replay/coverage.svg",
        "replay/calibration.svg",
        "replay/methods.parquet",
        "replay/differences.csv",
        "replay/past_decisions.csv",
        "replay/forecasts.parquet",
    ] {
        assert!(one.contains_key(name), "{name} is missing");
    }
}

#[test]
fn the_report_holds_a_replay_section_unless_it_is_told_not_to() {
    const HEADING: &str = "How it would have done on these records";
    let lab = Laboratory::new("report");
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    assert!(lab.read("report/summary.md").contains(HEADING));
    assert!(lab.read("report/index.html").contains(HEADING));
    says!(lab.read("report/replay.md"), "### Bands");
    lab.edit("monthly.toml", |text| {
        text.replace("[output]\n", "[output]\nreplay = \"never\"\n")
    });
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    assert!(!lab.read("report/summary.md").contains(HEADING));
    assert!(!lab.folder().join("report/replay.md").exists());
}

#[test]
fn a_simulated_fleet_is_the_same_for_a_seed_and_runs_like_any_records() {
    let place = tempfile::tempdir().unwrap();
    std::fs::write(place.path().join("fleets.toml"), FLEETS).unwrap();
    let simulate = |out: &str, more: &[&str]| {
        let arguments = ["simulate", "fleets.toml", "--out", out];
        driftbook(place.path(), &[&arguments[..], more].concat())
    };
    let told = simulate("first", &["--threads", "1"]);
    says!(told, "30 invented instruments");
    simulate("second", &["--threads", "2"]);
    simulate("third", &["--seed", "12"]);
    let first = files(&place.path().join("first"));
    assert_eq!(first, files(&place.path().join("second")));
    assert_ne!(first, files(&place.path().join("third")));
    let truth = String::from_utf8(first["truth.csv"].clone()).unwrap();
    assert_eq!(truth.lines().count(), 31);
    std::fs::write(
        place.path().join("fleet.toml"),
        "as_of = \"2026-06-30\"\n[checks]\nfiles = [\"first/checks.csv\"]\n[register]\nfile = \"first/register.csv\"\n[output]\nfolder = \"report\"\n",
    )
    .unwrap();
    driftbook(place.path(), &["run", "fleet.toml", "--quiet"]);
    let decisions = std::fs::read_to_string(place.path().join("report/decisions.csv")).unwrap();
    assert_eq!(decisions.lines().count(), 31);
}

#[test]
fn the_closed_loop_compares_every_method_with_perfect_knowledge() {
    let place = tempfile::tempdir().unwrap();
    let settings = "seed = 3\nyears = 8\nreliability_target = 0.95\nshortest_years = 0.25\nlongest_years = 4.0\n\
        class_sizes = [{ instruments = 4, classes = 2 }]\n\
        [[fleet]]\nname = \"drifters\"\nprefix = \"DR\"\ncost = 1.0\ncost_out_of_tolerance = 12.0\n\
        [fleet.truth]\ndrift = { normal = { mean = 0.0, deviation = 0.3 } }\n";
    std::fs::write(place.path().join("loop.toml"), settings).unwrap();
    let run = |out: &str, threads: &str| {
        let arguments = ["simulate", "loop.toml", "--policy", "--out", out];
        driftbook(
            place.path(),
            &[&arguments[..], &["--threads", threads]].concat(),
        )
    };
    let told = run("one", "1");
    for row in ["perfect knowledge", "never change", "policy", "staircase"] {
        assert!(told.contains(row), "{row} is missing from\n{told}");
    }
    run("two", "2");
    let (one, two) = (place.path().join("one"), place.path().join("two"));
    assert_eq!(files(&one), files(&two));
}
