/*! The main job keeps its contract: every file, every column, every row accounted for, the same bytes. */

use crate::tool::{driftbook, read_csv, root};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// `decisions.csv` starts with these columns, in this order (the fixed names of the tables).
const DECISION_COLUMNS: [&str; 21] = [
    "instrument",
    "point",
    "group",
    "unit",
    "as_of",
    "checks",
    "first_check",
    "last_check",
    "status",
    "drift_per_year",
    "u_drift_per_year",
    "predicted_error",
    "band_lower",
    "band_upper",
    "probability_in_tolerance",
    "current_interval_days",
    "interval_days",
    "due_date",
    "action",
    "reason",
    "method",
];

fn run_demo(out: &Path, more: &[&str]) {
    let out = out.to_string_lossy();
    let mut arguments = vec!["run", "--quiet", "--out", &out];
    arguments.extend(more);
    let done = driftbook(&arguments).well();
    assert_eq!(done.stdout, "");
}

#[test]
fn the_demo_writes_every_file_and_every_action() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    run_demo(&out, &[]);
    for name in [
        "decisions.csv",
        "decisions.parquet",
        "proposals.csv",
        "proposals.parquet",
        "fits.csv",
        "fits.parquet",
        "coefficients.csv",
        "coefficients.parquet",
        "forecast.csv",
        "rejects.csv",
        "run.json",
        "timings.json",
        "summary.md",
        "index.html",
    ] {
        assert!(out.join(name).is_file(), "{name}");
    }
    let decisions = read_csv(&out.join("decisions.csv"));
    assert_eq!(decisions.header[..DECISION_COLUMNS.len()], DECISION_COLUMNS);
    let mut actions: BTreeMap<String, usize> = BTreeMap::new();
    for row in &decisions.rows {
        *actions.entry(row["action"].clone()).or_default() += 1;
        assert!(!row["reason"].is_empty());
    }
    let words: Vec<&str> = actions.keys().map(String::as_str).collect();
    assert_eq!(
        words,
        ["extend", "keep", "none", "review", "shorten", "withdraw"]
    );
    let identity =
        |row: &BTreeMap<String, String>| (row["instrument"].clone(), row["point"].clone());
    assert!(decisions.rows.is_sorted_by_key(identity));
    let charts = fs::read_dir(out.join("charts")).unwrap().count();
    assert_eq!(charts, decisions.rows.len());
    let summary = fs::read_to_string(out.join("summary.md")).unwrap();
    assert!(
        summary.contains("advice"),
        "the summary says that an interval is advice"
    );
}

#[test]
fn every_row_is_in_a_history_or_in_the_rejects() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    run_demo(&out, &["--charts", "none"]);
    let record: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(out.join("run.json")).unwrap()).unwrap();
    let count = |name: &str| record["rows"][name].as_u64().unwrap();
    assert_eq!(
        count("read"),
        count("used") + count("merged") + count("rejected")
    );
    let rejects = read_csv(&out.join("rejects.csv"));
    assert_eq!(
        rejects.header,
        [
            "file", "row", "column", "value", "reason", "carries", "line"
        ]
    );
    for reject in &rejects.rows {
        let number = |name: &str| reject[name].parse::<u32>().unwrap();
        assert_eq!(number("line"), number("row") + 1, "{reject:?}");
    }
    assert_eq!(rejects.rows.len() as u64, count("rejected"));
    let checks: u64 = read_csv(&out.join("decisions.csv"))
        .rows
        .iter()
        .map(|r| r["checks"].parse::<u64>().unwrap())
        .sum();
    assert_eq!(checks, count("used"));
}

#[test]
fn one_thread_and_many_write_the_same_bytes() {
    let folder = tempfile::tempdir().unwrap();
    let (one, many) = (folder.path().join("one"), folder.path().join("many"));
    run_demo(&one, &["--threads", "1"]);
    run_demo(&many, &["--threads", "4"]);
    let files = |place: &Path| files_below(place);
    let (first, second) = (files(&one), files(&many));
    assert_eq!(
        first.keys().collect::<Vec<_>>(),
        second.keys().collect::<Vec<_>>()
    );
    for (name, bytes) in &first {
        if name != "timings.json" {
            assert!(*bytes == second[name], "{name} differs");
        }
    }
}

fn files_below(place: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut open = vec![place.to_path_buf()];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path
                    .strip_prefix(place)
                    .unwrap()
                    .to_string_lossy()
                    .into_owned();
                files.insert(name, fs::read(path).unwrap());
            }
        }
    }
    files
}

#[test]
fn the_order_of_rows_never_matters() {
    let folder = tempfile::tempdir().unwrap();
    let header = "instrument,point,date,as_found,u,lower,upper";
    let rows: Vec<String> = (0..36)
        .map(|i| {
            format!(
                "I-{},p,20{:02}-03-01,{},0.1,-2,2",
                i % 3,
                10 + i / 3,
                0.05 * f64::from(i % 7)
            )
        })
        .collect();
    let mut turned = rows.clone();
    turned.reverse();
    let decide = |name: &str, rows: &[String]| {
        let file = folder.path().join(format!("{name}.csv"));
        fs::write(&file, format!("{header}\n{}\n", rows.join("\n"))).unwrap();
        let out = folder.path().join(name);
        driftbook(&[
            "run",
            "--quiet",
            "--charts",
            "none",
            "--as-of",
            "2026-06-30",
            "--out",
            &out.to_string_lossy(),
            &file.to_string_lossy(),
        ])
        .well();
        fs::read(out.join("decisions.csv")).unwrap()
    };
    assert!(decide("as_is", &rows) == decide("turned", &turned));
}

#[test]
fn the_exit_status_tells_a_scheduled_job_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report").to_string_lossy().into_owned();
    assert_eq!(
        driftbook(&[
            "run",
            "--quiet",
            "--charts",
            "none",
            "--out",
            &out,
            "--exit-on-action"
        ])
        .status,
        3
    );
    assert_eq!(
        driftbook(&["run", "no-such-file.csv", "--out", &out]).status,
        2
    );
    assert_eq!(
        driftbook(&["run", "--as-of", "yesterday", "--out", &out]).status,
        2
    );
    assert_eq!(driftbook(&["run", "--frobnicate"]).status, 2);
    let empty = folder.path().join("empty.csv");
    fs::write(&empty, "").unwrap();
    let done = driftbook(&["run", &empty.to_string_lossy(), "--out", &out]).ended(1);
    says!(done.stderr, "empty.csv");
}

#[test]
fn a_failed_run_leaves_the_last_report_and_a_foreign_folder_alone() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    run_demo(&out, &["--charts", "none"]);
    let before = fs::read(out.join("decisions.csv")).unwrap();
    let bad = folder.path().join("bad.csv");
    fs::write(&bad, "instrument,date,as_found\nA,never,1\n").unwrap();
    driftbook(&[
        "run",
        &bad.to_string_lossy(),
        "--out",
        &out.to_string_lossy(),
    ])
    .ended(1);
    assert!(before == fs::read(out.join("decisions.csv")).unwrap());
    let foreign = folder.path().join("thesis");
    fs::create_dir(&foreign).unwrap();
    fs::write(foreign.join("chapter-1.txt"), "It was").unwrap();
    let done = driftbook(&["run", "--out", &foreign.to_string_lossy()]).ended(1);
    says!(done.stderr, "chapter-1.txt");
    assert_eq!(fs::read_dir(&foreign).unwrap().count(), 1);
}

#[test]
fn every_shipped_pipeline_runs_on_the_demo() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["interval-review", "yearly-batch", "monthly-charts"] {
        let pipeline = root().join(format!("pipelines/{name}.toml"));
        let out = folder.path().join(name);
        let done = driftbook(&[
            "run",
            &pipeline.to_string_lossy(),
            "--out",
            &out.to_string_lossy(),
        ])
        .well();
        says!(done.stdout, "Decisions:");
        assert!(!done.stdout.contains('\u{1b}'), "no colour when redirected");
    }
    let proposals = read_csv(&folder.path().join("yearly-batch/proposals.csv"));
    let mut methods: Vec<&str> = proposals
        .rows
        .iter()
        .map(|r| r["method"].as_str())
        .collect();
    methods.sort_unstable();
    methods.dedup();
    assert_eq!(methods.len(), 12, "{methods:?}");
}

/// NIST/SEMATECH e-Handbook 1.4.2.7.3: the fit of the standard resistor against run number.
/// Published values (from memory of that section, each recomputed from the data file):
/// intercept 27.9114 (standard error 0.1209E-02), slope 0.20967E-03 (0.2092E-05), residual
/// standard deviation 0.1909796E-01, 998 degrees of freedom.
#[test]
fn the_standard_resistor_gives_the_published_fit() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    let pipeline = root().join("data/reference/standard-resistor.toml");
    driftbook(&[
        "run",
        &pipeline.to_string_lossy(),
        "--out",
        &out.to_string_lossy(),
        "--charts",
        "none",
    ])
    .well();
    let coefficients = read_csv(&out.join("coefficients.csv"));
    let of = |term: &str, column: &str| -> f64 {
        let row = coefficients
            .rows
            .iter()
            .find(|r| r["term"] == term)
            .unwrap();
        row[column].parse().unwrap()
    };
    assert_eq!(format!("{:.4}", of("intercept", "estimate")), "27.9114");
    assert_eq!(
        format!("{:.3}", 1e3 * of("intercept", "standard_error")),
        "1.209"
    );
    assert_eq!(format!("{:.5}", 1e3 * of("slope", "estimate")), "0.20967");
    assert_eq!(
        format!("{:.3}", 1e6 * of("slope", "standard_error")),
        "2.092"
    );
    let fits = read_csv(&out.join("fits.csv"));
    let deviation: f64 = fits.rows[0]["residual_deviation"].parse().unwrap();
    assert_eq!(format!("{deviation:.8}"), "0.01909796");
    assert_eq!(fits.rows[0]["n"], "1000");
    assert_eq!(fits.rows[0]["degrees_of_freedom"], "998.0");
    let summary = fs::read_to_string(out.join("summary.md")).unwrap();
    assert!(
        summary.contains("27.911404"),
        "the summary shows the published intercept"
    );
}

#[test]
fn a_persons_own_headers_start_with_one_command() {
    let folder = tempfile::tempdir().unwrap();
    let text = fs::read_to_string(root().join("data/reference/standard-resistor.csv")).unwrap();
    let renamed = text.replacen(
        "instrument,point,date,as_found,nominal,u,unit,run",
        "Serial No,Parameter,Date checked,Reading,Nominal value,Std uncertainty,Unit,Run",
        1,
    );
    let file = folder.path().join("resistor export.csv");
    fs::write(&file, renamed).unwrap();
    driftbook(&["start", &file.to_string_lossy()]).well();
    let pipeline = fs::read_dir(folder.path())
        .unwrap()
        .map(|e| e.unwrap().path())
        .find(|p| p.extension().is_some_and(|e| e == "toml"))
        .unwrap();
    let out = folder.path().join("report");
    driftbook(&[
        "run",
        &pipeline.to_string_lossy(),
        "--out",
        &out.to_string_lossy(),
    ])
    .well();
    let record: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(out.join("run.json")).unwrap()).unwrap();
    assert_eq!(record["rows"]["used"], 1000);
}

#[test]
fn explain_tells_the_whole_chain() {
    let done = driftbook(&["explain", "TH-003", "--demo"]).well();
    says!(
        done.stdout,
        "Data used",
        "Segments",
        "Proposals",
        "What would change it"
    );
    assert_eq!(driftbook(&["explain", "NO-SUCH", "--demo"]).status, 2);
}

/// A thermometer read in sessions: what its page says of them stands on the terminal too.
#[test]
fn explain_tells_the_sessions_of_a_thermometer() {
    let done = driftbook(&["explain", "TH-105", "--demo"]).well();
    says!(
        done.stdout,
        "Sessions reduced from raw readings",
        "S-06     2024-12-07",
        "Uncertainty budget of session S-24",
        "calibration of the resistor"
    );
    let widest = done.stdout.lines().filter(|l| l.starts_with("  S-"));
    assert!(widest.map(|l| l.chars().count()).max() < Some(140));
    for command in ["explain", "verdict"] {
        let done = driftbook(&[command, "TH-15", "1", "--demo"]).ended(2);
        says!(done.stderr, "did you mean TH-105?");
    }
    let done = driftbook(&["explain", "TH-105", "zinc", "--demo"]);
    says!(done.stderr, "it has triple point of water");
}
