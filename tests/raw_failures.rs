/*! Failures in raw exports: none is lost among rejected rows, and what contradicts itself asks for a person. */

use crate::export::{Export, accounts};
use crate::tool::driftbook;

const FAILURES: &str = "instrument,date,as_found,u,lower,upper,unit,in_tolerance\n\
    P-1,2021-03-01,0.1,0.1,-5,5,kPa,pass\n\
    P-1,2022-03-01,0.2,0.1,-5,5,kPa,pass\n\
    P-1,2023-03-01,6.2,0.1,-5,5,kPa,FAIL - adjusted\n\
    P-1,2024-03-01,over range,0.1,-5,5,kPa,FAIL\n\
    P-2,2024-03-01,?,0.1,-5,5,kPa,\n\
    P-3,2024-03-01,?,0.1,-5,5,kPa,pass\n";

#[test]
fn a_failure_among_the_rejected_rows_stops_the_run() {
    let export = Export::new(&[("checks.csv", FAILURES)]);
    let done = export.run("checks.csv").ended(2);
    says!(
        done.stderr,
        "1 of the rejected rows",
        "row 5",
        "over range",
        "allow_rejected_failures"
    );
    assert!(!export.path("report/run.json").exists());
}

/// A verdict and an explanation rest on the records that a run would refuse.
#[test]
fn a_failure_among_the_rejected_rows_stops_verdict_and_explanation() {
    let allowed = "[checks]\nfiles = [\"checks.csv\"]\nallow_rejected_failures = true\n";
    let export = Export::new(&[("checks.csv", FAILURES), ("lab.toml", allowed)]);
    let asked = |records: &str, question: &[&str]| {
        let records = export.path(records).to_string_lossy().into_owned();
        driftbook(&[question, &["--records", &records]].concat())
    };
    let verdict = [
        "verdict",
        "P-1",
        "0.4",
        "--u",
        "0.1",
        "--date",
        "2025-03-01",
    ];
    for question in [&verdict[..], &["explain", "P-1"]] {
        let done = asked("checks.csv", question).ended(2);
        assert!(done.stdout.is_empty(), "{}", done.stdout);
        says!(
            done.stderr,
            "row 5",
            "over range",
            "allow_rejected_failures"
        );
        let done = asked("lab.toml", question);
        assert!(!done.stdout.is_empty(), "{}", done.stderr);
    }
}

#[test]
fn an_allowed_failure_counts_without_its_value_and_lost_items_are_named() {
    let allowed = "[checks]\nfiles = [\"checks.csv\"]\nallow_rejected_failures = true\n";
    let export = Export::new(&[("checks.csv", FAILURES), ("lab.toml", allowed)]);
    export.run("lab.toml").well();
    assert_eq!(accounts(&export.path("report")), [6, 5, 0, 1]);
    let decisions = export.rows("decisions.csv");
    assert_eq!((decisions.len(), decisions[0]["checks"].as_str()), (2, "4"));
    assert_eq!(decisions[0]["action"], "withdraw");
    let warnings = export.rows("warnings.csv");
    says!(warnings[0]["warning"], "its only row was rejected");
    assert!(
        warnings
            .iter()
            .any(|w| w["warning"].contains("counts without its values"))
    );
}

/// What was done, said beside the outcome, counts like a column of events, which this file lacks.
#[test]
fn an_adjustment_told_beside_the_outcome_is_an_event() {
    let spoken = FAILURES
        .replace("over range", "0.3")
        .replace(",FAIL\n", ",pass\n");
    let written = FAILURES
        .replace("in_tolerance", "in_tolerance,event")
        .replace("over range", "0.3")
        .replace(",FAIL\n", ",pass\n")
        .replace("FAIL - adjusted", "FAIL,adjusted")
        .replace("pass\n", "pass,\n");
    let decided = |checks: &str| {
        let allowed = "[checks]\nfiles = [\"checks.csv\"]\n";
        let export = Export::new(&[("checks.csv", checks), ("lab.toml", allowed)]);
        let done = export.run("lab.toml").well();
        (export.rows("decisions.csv"), done.stderr)
    };
    let (by_word, told) = decided(&spoken);
    says!(told, "adjusted at the check of 2023-03-01");
    assert_eq!(by_word, decided(&written).0);
}

#[test]
fn rejected_failures_stand_first() {
    let rows = "instrument,date,as_found,u,lower,upper,unit\n\
        P-1,2021-03-01,0.1,0.1,-5,5,kPa\n\
        P-1,2022-03-01,x,0.1,-5,5,kPa\n\
        P-1,no date,9.9,0.1,-5,5,kPa\n";
    let allowed = "[checks]\nfiles = [\"checks.csv\"]\nallow_rejected_failures = true\n";
    let export = Export::new(&[("checks.csv", rows), ("lab.toml", allowed)]);
    assert_eq!(export.run("lab.toml").status, 0);
    let rejects = export.rows("rejects.csv");
    assert_eq!(
        (rejects[0]["row"].as_str(), rejects[0]["carries"].as_str()),
        ("3", "failure")
    );
    assert_eq!(
        (rejects[1]["row"].as_str(), rejects[1]["carries"].as_str()),
        ("2", "")
    );
}

/// What a person wrote beside a value counts where the value does not: nothing is taken along.
#[test]
fn a_pass_beside_an_unreadable_value_is_still_a_pass() {
    let export = Export::new(&[("checks.csv", &FAILURES.replace("over range", "0.3"))]);
    assert_eq!(export.run("checks.csv").status, 0);
    assert_eq!(accounts(&export.path("report")), [6, 5, 0, 1]);
    let told = |words: &str| {
        export
            .rows("warnings.csv")
            .iter()
            .any(|w| w["warning"].contains(words))
    };
    assert!(told("the pass of this row counts without its values"));
}

fn actions(export: &Export) -> Vec<(String, String)> {
    let rows = export.rows("decisions.csv").into_iter();
    rows.map(|row| (row["action"].clone(), row["reason"].clone()))
        .collect()
}

#[test]
fn a_fail_without_limits_is_a_failure_and_a_contradiction_asks_for_a_person() {
    let years = |item: &str, last: &str| {
        let rows =
            ["2022", "2023", "2024"].map(|y| format!("{item},{y}-01-01,0.1,0.1,,,mK,pass\n"));
        rows.concat() + last
    };
    let text = "instrument,date,as_found,u,lower,upper,unit,in_tolerance\n".to_string()
        + &years("A", "A,2025-01-01,5,0.1,,,mK,FAIL\n")
        + &years(
            "B",
            "B,2025-01-01,0.1,0.1,,,mK,fail\nB,2025-01-01,0.1,0.1,,,mK,pass\n",
        )
        + &years("C", "C,2025-01-01,0.1,0.1,-1,1,mK,n.i.O.\n");
    let export = Export::new(&[("checks.csv", &text)]);
    assert_eq!(export.run("checks.csv").status, 0);
    let actions = actions(&export);
    assert_eq!(actions[0].0, "withdraw", "{actions:?}");
    assert_eq!(
        (actions[1].0.as_str(), actions[2].0.as_str()),
        ("review", "review"),
        "{actions:?}"
    );
    says!(actions[1].1, "both out of tolerance and in tolerance");
    says!(
        actions[2].1,
        "says out of tolerance, its numbers say in tolerance"
    );
    assert_eq!(export.rows("decisions.csv")[1]["checks"], "5");
}
