/*! Jobs in doubt, against the worked example and at the edges. */

use super::*;
use crate::drift::Status;
use crate::intervals::testing::{Known, Record, unfitted};
use crate::records::{DAYS_PER_YEAR, Tolerance};

/// Check values of interval-practice.md 7.3 with months as 30 days: lower limit 9.50,
/// result 9.70, shifts 0.060, 0.160, 0.235 and 0.285 (example data): results at 2 and
/// 6 months stand, those at 9 and 11 are recalled.
fn example() -> Record {
    let mut record = Record::new().check(0.0, 0.01).check(360.0, 0.31);
    record.item.tolerance = Tolerance::new(-0.2, 0.2);
    record
}

fn job(name: &str, date: f64) -> Job {
    Job {
        job: name.into(),
        instrument: "TH-1".into(),
        date,
        lower: 9.50,
        upper: f64::NAN,
        measured_error: 9.70,
        ..Job::default()
    }
}

#[test]
fn the_worked_jobs_are_judged_as_the_facts_sheet_does() {
    let histories = example().histories();
    let wander = 0.0004_f64.sqrt() * (DAYS_PER_YEAR / 30.0).sqrt();
    let fit = Known {
        wander,
        ..Known::default()
    }
    .fit(360.0, 2);
    let jobs = [
        job("2", 60.0),
        job("6", 180.0),
        job("9", 270.0),
        job("11", 330.0),
    ];
    let doubts = assess(&histories.get(0), &fit, &jobs);
    let recalled: Vec<_> = doubts
        .iter()
        .filter(|d| d.effect == Effect::Recall)
        .map(|d| d.job.job.as_str())
        .collect();
    assert_eq!(recalled, ["11", "9"]);
    let corrected = |name: &str| {
        doubts
            .iter()
            .find(|d| d.job.job == name)
            .unwrap()
            .corrected_error
    };
    for (name, value) in [("2", 9.640), ("6", 9.540), ("9", 9.465), ("11", 9.415)] {
        assert!((corrected(name) - value).abs() < 1e-9);
    }
    assert!(
        doubts[0]
            .reason
            .contains("out of tolerance with probability")
    );
}

#[test]
fn jobs_outside_the_window_and_of_others_are_left_alone() {
    let histories = example().histories();
    let fit = unfitted(Status::Failed);
    let mut other = job("other", 100.0);
    other.instrument = "TH-2".into();
    let jobs = [
        job("before", -10.0),
        job("after", 400.0),
        other,
        job("in", 100.0),
    ];
    let doubts = assess(&histories.get(0), &fit, &jobs);
    assert_eq!(doubts.len(), 1);
    assert_eq!(doubts[0].job.job, "in");
}

#[test]
fn a_passed_check_leaves_no_doubt_and_no_good_reading_recalls_all() {
    let passed = Record::new().check(0.0, 0.0).check(360.0, 0.1).histories();
    let fit = unfitted(Status::Failed);
    assert!(assess(&passed.get(0), &fit, &[job("a", 100.0)]).is_empty());
    let never = Record::new().check(0.0, 2.0).check(360.0, 3.0).histories();
    let doubts = assess(&never.get(0), &fit, &[job("a", 100.0)]);
    assert_eq!(doubts[0].effect, Effect::Recall);
    assert!(
        doubts[0].reason.contains("no reading at which"),
        "{}",
        doubts[0].reason
    );
}

#[test]
fn outcomes_without_values_cannot_clear_a_job() {
    let histories = Record::new()
        .outcome(0.0, true)
        .outcome(360.0, false)
        .histories();
    let doubts = assess(
        &histories.get(0),
        &unfitted(Status::OutcomesOnly),
        &[job("a", 100.0)],
    );
    assert!(doubts[0].probability_out.is_nan());
    assert_eq!(doubts[0].effect, Effect::Recall);
}
