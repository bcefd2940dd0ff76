/*! Every published method can lead: `pipelines/every-method.toml` on the demo laboratory. */

use crate::laboratory::Laboratory;
use crate::tool::{driftbook, read_csv, root};
use std::collections::{BTreeMap, BTreeSet};

#[test]
fn each_method_leads_somewhere_in_the_demo() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    let pipeline = root().join("pipelines/every-method.toml");
    driftbook(&[
        "run",
        &pipeline.to_string_lossy(),
        "--charts",
        "none",
        "--out",
        &out.to_string_lossy(),
    ])
    .well();
    let decisions = read_csv(&out.join("decisions.csv")).rows;
    let proposals = read_csv(&out.join("proposals.csv")).rows;
    let methods: BTreeSet<&str> = proposals.iter().map(|r| r["method"].as_str()).collect();
    assert_eq!(methods.len(), 12);
    let leading: BTreeSet<&str> = decisions.iter().map(|r| r["method"].as_str()).collect();
    for method in &methods {
        assert!(leading.contains(method), "{method} leads nowhere");
    }
    // Each history has every method's proposal with a reason, and its leader is applicable.
    let mut by_history: BTreeMap<(&str, &str), Vec<&BTreeMap<String, String>>> = BTreeMap::new();
    for row in &proposals {
        assert!(!row["reason"].is_empty());
        let key = (row["instrument"].as_str(), row["point"].as_str());
        by_history.entry(key).or_default().push(row);
    }
    for row in decisions.iter().filter(|r| !r["method"].is_empty()) {
        let own = &by_history[&(row["instrument"].as_str(), row["point"].as_str())];
        assert_eq!(own.len(), 12);
        let leader = own.iter().find(|p| p["method"] == row["method"]).unwrap();
        assert_eq!(leader["applicable"], "true");
    }
}

/// A limit on extensions a year looks at earlier runs: `explain` sees them as `run` does.
#[test]
fn explain_prints_the_decisions_of_the_run() {
    let limit = "[policy]\nextensions_per_year = 1\nlargest_extension = 1.2\nsmoothing_days = 60\n\
        [intervals]\nmethods = [\"drift_crossing\", \"reliability\"]\n";
    let lab = Laboratory::with("reports/{month}", limit);
    assert!(
        lab.run(&["--as-of", "2026-05-31", "--charts", "none"])
            .success()
    );
    let decided = read_csv(&lab.folder().join("reports/05/decisions.csv")).rows;
    // Every extension is followed: the register's intervals become the decided ones.
    lab.edit("register.csv", |text| with_intervals(text, &decided));
    assert!(
        lab.run(&["--as-of", "2026-06-30", "--charts", "none"])
            .success()
    );
    let rows = read_csv(&lab.folder().join("reports/06/decisions.csv")).rows;
    let limited = rows
        .iter()
        .filter(|r| r["reason"].contains("one extension within a year is allowed"));
    let limited: BTreeSet<&str> = limited.map(|r| r["instrument"].as_str()).collect();
    assert!(limited.len() > 5, "the limit binds: {limited:?}");
    let moved = rows.iter().find(|r| r["assigned_date"] != r["due_date"]);
    let moved = moved.unwrap()["instrument"].as_str();
    let asked = limited.iter().take(4).copied();
    for instrument in asked.chain([moved, "GB-005", "RS-007"]) {
        let pipeline = lab.folder().join("monthly.toml");
        let told = driftbook(&[
            "explain",
            instrument,
            "--records",
            &pipeline.to_string_lossy(),
            "--as-of",
            "2026-06-30",
        ])
        .well();
        for row in rows.iter().filter(|r| r["instrument"] == instrument) {
            assert!(
                told.stdout.contains(&row["reason"]),
                "{} in {}",
                row["reason"],
                told.stdout
            );
            let moved = row["assigned_date"] != row["due_date"];
            let assigned = format!("it is assigned to {}", row["assigned_date"]);
            assert_eq!(told.stdout.contains(&assigned), moved);
        }
    }
    assert!(rows.iter().all(|r| r["assigned_date"] <= r["due_date"]));
    let summary = lab.read("reports/06/summary.md");
    says!(summary, "To level the workload");
    let pipeline = lab.folder().join("monthly.toml");
    let pipeline = pipeline.to_string_lossy();
    let told = driftbook(&[
        "verdict",
        "GB-002",
        "1",
        "--u",
        "7",
        "--records",
        &pipeline,
        "--date",
        "2026-07-05",
    ]);
    says!(told.stdout, "one extension within a year is allowed");
}

/// The register with the intervals of `decided` where an extension was advised.
fn with_intervals(register: &str, decided: &[BTreeMap<String, String>]) -> String {
    let mut out = String::new();
    for line in register.lines() {
        let mut cells: Vec<&str> = line.split(',').collect();
        let longer = decided
            .iter()
            .find(|r| r["instrument"] == cells[0] && r["action"] == "extend");
        if let Some(row) = longer {
            cells[6] = &row["interval_days"];
        }
        out += &cells.join(",");
        out.push('\n');
    }
    out
}
