/*! One decision rule for verdict, run, page and table: what it cannot state asks a person. */

use crate::tool::{driftbook, read_csv, root};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// A gauge that stays at 0.8 with u = 0.05 against ±1, and one that reads 0.98.
fn report(folder: &Path, conformity: &str) -> (Vec<BTreeMap<String, String>>, String) {
    let mut text = String::from("instrument,date,as_found,u,lower,upper,unit\n");
    let noise = [0.01, -0.02, 0.02, 0.0, -0.01, 0.01, -0.02, 0.02];
    for (i, noise) in noise.iter().enumerate() {
        let year = 2018 + i;
        text += &format!("G-1,{year}-03-05,{},0.05,-1,1,mm\n", 0.85 + noise);
        text += &format!("G-2,{year}-03-05,{},0.05,-1,1,mm\n", 0.98 + noise / 2.0);
    }
    fs::write(folder.join("checks.csv"), text).unwrap();
    let pipeline = folder.join("lab.toml");
    let settings =
        format!("as_of = \"2025-04-01\"\n[checks]\nfiles = [\"checks.csv\"]\n{conformity}");
    fs::write(&pipeline, settings).unwrap();
    let out = folder.join("report");
    driftbook(&[
        "run",
        pipeline.to_str().unwrap(),
        "--quiet",
        "--out",
        out.to_str().unwrap(),
    ])
    .well();
    let pages = fs::read_dir(out.join("instruments")).unwrap();
    let pages = pages.map(|page| fs::read_to_string(page.unwrap().path()).unwrap());
    let page = pages.into_iter().find(|page| page.contains("<h1>G-1</h1>"));
    // A page does not break a number from its unit.
    let page = page.unwrap().replace('\u{a0}', " ");
    (read_csv(&out.join("decisions.csv")).rows, page)
}

#[test]
fn the_rule_changes_the_decision_and_stands_in_its_reason() {
    let folder = tempfile::tempdir().unwrap();
    let (rows, page) = report(folder.path(), "");
    assert_eq!(rows[0]["conformity_now"], "conforming");
    says_not!(rows[0]["reason"], "acceptance");
    let now: f64 = rows[0]["probability_now"].parse().unwrap();
    assert!(now > 0.98, "{now}");
    says!(page, "as found conforming (simple acceptance");
    assert_eq!(rows[1]["action"], "review", "{}", rows[1]["reason"]);
    assert!(
        rows[1]["reason"].starts_with("Indeterminate: "),
        "{}",
        rows[1]["reason"]
    );
    let guarded = "[conformity]\nrule = \"guarded\"\nguard_factor = 2.0\n";
    let (rows, page) = report(folder.path(), guarded);
    assert_eq!(rows[0]["action"], "review", "{}", rows[0]["reason"]);
    says!(rows[0]["reason"], "guarded acceptance by 2 U");
    says!(page, "as found indeterminate (guarded acceptance by 2 U)");
    let relaxed = "[conformity]\nrule = \"relaxed\"\n";
    let (rows, _) = report(folder.path(), relaxed);
    assert_eq!(
        rows[1]["conformity_now"], "conforming",
        "{}",
        rows[1]["reason"]
    );
    says!(
        rows[1]["reason"],
        "Conforming on 2025-04-01 by relaxed acceptance"
    );
    let risk = "[conformity]\nrule = \"risk\"\nlargest_risk = 0.3\n";
    let (rows, _) = report(folder.path(), risk);
    says!(rows[0]["reason"], "by acceptance at a risk of 30 %");
}

/// The quality manager's pipeline on the demo laboratory, and the same with a simple rule.
#[test]
fn the_demo_shows_a_guarded_rule_that_changes_a_decision() {
    let folder = tempfile::tempdir().unwrap();
    let text = fs::read_to_string(root().join("pipelines/every-method.toml")).unwrap();
    let here = root().to_string_lossy().replace('\\', "/");
    let text = text.replace("\"../", &format!("\"{here}/"));
    let told = |name: &str, text: &str| {
        let pipeline = folder.path().join(format!("{name}.toml"));
        fs::write(&pipeline, text).unwrap();
        let out = folder.path().join(name);
        let (pipeline, to) = (pipeline.to_string_lossy(), out.to_string_lossy());
        driftbook(&[
            "run", &pipeline, "--quiet", "--charts", "none", "--out", &to,
        ])
        .well();
        let rows = read_csv(&out.join("decisions.csv")).rows;
        let row = rows.into_iter().find(|row| row["instrument"] == "TH-005");
        let row = row.unwrap();
        (row["action"].clone(), row["reason"].clone())
    };
    let (action, reason) = told("guarded", &text);
    assert_eq!(action, "review", "{reason}");
    assert!(
        reason.starts_with("Indeterminate: ") && reason.contains("guarded acceptance by 1 U"),
        "{reason}"
    );
    let simple = text.replace("rule = \"guarded\"", "rule = \"simple\"");
    assert_ne!(simple, text);
    let (action, reason) = told("simple", &simple);
    assert_eq!(action, "shorten", "{reason}");
    says_not!(reason, "acceptance");
}

#[test]
fn a_rule_that_cannot_be_used_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = folder.path().join("lab.toml");
    fs::write(
        folder.path().join("a.csv"),
        "instrument,date,as_found\nA,2024-01-01,1\n",
    )
    .unwrap();
    for (line, mend) in [
        ("largest_risk = 0.6", "below 0.5"),
        ("doubt_factor = -1.0", "a number 0 or more"),
        ("rule = \"strict\"", "simple"),
    ] {
        let text = format!("[checks]\nfiles = [\"a.csv\"]\n[conformity]\n{line}\n");
        fs::write(&pipeline, text).unwrap();
        let done = driftbook(&["run", pipeline.to_str().unwrap(), "--quiet"]);
        assert_eq!(done.status, 2, "{line}: {}", done.stderr);
        assert!(done.stderr.contains(mend), "{}", done.stderr);
    }
}

/// The table tells risk by the reading alone and risk over the group; both rest on what is known.
#[test]
fn the_risks_of_each_statement_are_in_the_table() {
    let folder = tempfile::tempdir().unwrap();
    let mut text = String::from("instrument,date,as_found,as_left,u,lower,upper,unit,event\n");
    let mut register = String::from("instrument,group\n");
    for gauge in 0..20 {
        register += &format!("G-{gauge:02},gauges\n");
        for year in 2020..2024 {
            let value = 0.05 * f64::from((7 * gauge + 3 * (year - 2020)) % 20 - 10);
            let (left, event) = if year == 2023 {
                ("0.1", "adjusted")
            } else {
                ("", "")
            };
            text += &format!("G-{gauge:02},{year}-03-05,{value},{left},0.1,-0.6,0.6,mm,{event}\n");
        }
    }
    // Of no group, so that nothing is known of the items before it is read.
    text += "LONE,2023-03-05,0.1,,0.1,-0.6,0.6,mm,\n";
    fs::write(folder.path().join("checks.csv"), text).unwrap();
    fs::write(folder.path().join("register.csv"), register).unwrap();
    let pipeline = folder.path().join("lab.toml");
    let settings = "as_of = \"2023-06-01\"\n[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n";
    fs::write(&pipeline, settings).unwrap();
    let out = folder.path().join("report");
    let (pipeline, to) = (pipeline.to_str().unwrap(), out.to_str().unwrap());
    driftbook(&["run", pipeline, "--quiet", "--out", to]).well();
    let rows = read_csv(&out.join("conformity.csv")).rows;
    assert_eq!(rows.len(), 21);
    let number = |row: &BTreeMap<String, String>, column: &str| -> f64 {
        row[column]
            .parse()
            .unwrap_or_else(|_| panic!("{column} {row:?}"))
    };
    let first = &rows[0];
    // (0.6 + 0.6)/(4·0.1) = 3.
    assert!((number(first, "measurement_capability") - 3.0).abs() < 1e-12);
    assert_eq!(first["conformity_as_left"], "conforming");
    assert_eq!(number(first, "prior_readings"), 80.0);
    for row in &rows[..20] {
        let (risk, probability) = (
            row["risk_as_found"].as_str(),
            number(row, "probability_as_found"),
        );
        match row["conformity_as_found"].as_str() {
            "conforming" => {
                assert!((risk.parse::<f64>().unwrap() - (1.0 - probability)).abs() < 1e-12)
            }
            "nonconforming" => assert_eq!(risk.parse::<f64>().unwrap(), probability),
            _ => assert_eq!(risk, ""),
        }
        let (normal, own) = (
            number(row, "consumer_risk"),
            number(row, "consumer_risk_empirical"),
        );
        assert!(
            normal > 0.0 && normal < 0.05 && own < 0.05,
            "{normal} {own}"
        );
        assert!(number(row, "producer_risk") > 0.0);
    }
    let lone = &rows[20];
    assert_eq!(lone["consumer_risk"], "");
    assert!(
        lone["missing"].starts_with("no group is stated"),
        "{}",
        lone["missing"]
    );
}

/// The resistors of JCGM 106:2012, clause 9 (figures from memory, recomputed with scipy in
/// tests/reference/conformity): true values of mean 1500 Ω and deviation 0.12 Ω, read with u = 0.04 Ω,
/// limits 1499.8 Ω and 1500.2 Ω. Twenty readings that have just this spread are the class.
#[test]
fn the_guides_resistors_have_the_guides_risks_in_the_table() {
    let seen: f64 = 0.12 * 0.12 + 0.04 * 0.04;
    // Even steps about the middle: the squares of -9.5 to 9.5 sum to 665, over 19.
    let step = (seen / 35.0).sqrt();
    let mut checks = String::from("instrument,date,as_found,u,lower,upper,unit\n");
    let mut register = String::from("instrument,group\n");
    for item in 0..20 {
        let value = 1500.0 + step * (f64::from(item) - 9.5);
        checks += &format!("R-{item:02},2026-03-01,{value},0.04,1499.8,1500.2,ohm\n");
        register += &format!("R-{item:02},resistors\n");
    }
    for (rule, consumer, producer) in [
        ("[conformity]\ndoubt_factor = 0.0\n", 0.018_942, 0.037_208),
        ("[conformity]\nrule = \"guarded\"\n", 0.000_469, 0.247_670),
    ] {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("checks.csv"), &checks).unwrap();
        fs::write(folder.path().join("register.csv"), &register).unwrap();
        let text = format!(
            "as_of = \"2026-04-01\"\n[checks]\nfiles = [\"checks.csv\"]\nas_found_is = \"error\"\n[register]\nfile = \"register.csv\"\n{rule}"
        );
        let (pipeline, out) = (folder.path().join("lab.toml"), folder.path().join("report"));
        fs::write(&pipeline, text).unwrap();
        let (pipeline, out_text) = (pipeline.to_string_lossy(), out.to_string_lossy());
        driftbook(&[
            "run", &pipeline, "--quiet", "--charts", "all", "--out", &out_text,
        ])
        .well();
        let row = &read_csv(&out.join("conformity.csv")).rows[0];
        let number = |column: &str| row[column].parse::<f64>().unwrap();
        assert!((number("prior_deviation") - 0.12).abs() < 1e-9, "{row:?}");
        assert!((number("consumer_risk") - consumer).abs() < 6e-7, "{row:?}");
        assert!((number("producer_risk") - producer).abs() < 6e-7, "{row:?}");
    }
}
