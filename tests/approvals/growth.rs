/*! Growth after a signature: it rests on the interval that was signed, not on a check soon after. */

use super::*;

/// 730 d were signed for an item checked yearly, and a check two weeks later proposed 1460 d: fourfold by two signatures
/// and a fortnight.
#[test]
fn a_check_soon_after_a_signature_brings_no_second_step() {
    let folder = tempfile::tempdir().unwrap();
    let register = REGISTER.replace(",1000", ",");
    let pipeline = laboratory(folder.path(), &register);
    let checks = folder.path().join("checks.csv");
    let mut text = fs::read_to_string(&checks).unwrap();
    let records = pipeline.to_str().unwrap();
    let decided = |day: &str| {
        let out = folder.path().join("report");
        let to = out.to_str().unwrap();
        driftbook(&["run", records, "--quiet", "--out", to, "--as-of", day]).well();
        read_csv(&out.join("decisions.csv")).rows.remove(0)
    };
    let first = decided("2024-05-01");
    assert_eq!(first["interval_days"], "730", "{}", first["reason"]);
    approve(&pipeline, &["A", "--by", "Head"]).well();
    text += "A,,2024-05-15,0.01,0.01,-1,1,mm\n";
    fs::write(&checks, &text).unwrap();
    let soon = decided("2024-06-01");
    assert_eq!(
        (soon["action"].as_str(), soon["approval"].as_str()),
        ("keep", "approved"),
        "{}",
        soon["reason"]
    );
    says!(
        soon["reason"],
        "of the 730 d in force the item has lived through 366 d in tolerance"
    );
    // What it has lived through it may grow from: 600 d of the 730 d allow up to twice as many.
    text += "A,,2026-01-05,0.02,0.01,-1,1,mm\n";
    fs::write(&checks, &text).unwrap();
    let later = decided("2026-02-01");
    assert_eq!(later["interval_days"], "1200", "{}", later["reason"]);
    assert_eq!(later["approval"], "pending");
}
