/*! Every published method can lead: `pipelines/every-method.toml` on the demo laboratory. */

use crate::tool::{driftbook, read_csv, root};
use std::collections::{BTreeMap, BTreeSet};

#[test]
fn each_method_leads_somewhere_in_the_demo() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    let pipeline = root().join("pipelines/every-method.toml");
    let done = driftbook(&[
        "run",
        &pipeline.to_string_lossy(),
        "--charts",
        "none",
        "--out",
        &out.to_string_lossy(),
    ]);
    assert_eq!(done.status, 0, "{}", done.stderr);
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
