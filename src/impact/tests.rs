/*! Jobs in doubt, against the worked example and at the edges. */

use super::*;
use crate::conformity::{ConformitySettings, DecisionRule};
use crate::drift::testing::{Known, unfitted};
use crate::drift::{Fit, Status};
use crate::impact::crossing::Mechanism;
use crate::impact::job::Effect;
use crate::records::testing::Record;
use crate::records::{DAYS_PER_YEAR, Event, History, Tolerance};

/// The jobs of the history that are in question, judged.
fn judged(history: &History<'_>, fit: &Fit, jobs: &[Job]) -> Vec<JobDoubt> {
    let item = std::slice::from_ref(history.item);
    let own = Matches::of(jobs, item, 1e9).by_history.concat();
    assess(
        &suspect_windows(history, fit, &rule()),
        &history.item.unit,
        &own,
    )
}

fn rule() -> DecisionRule {
    ConformitySettings::default().decision_rule()
}

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
        sensitivity: 1.0,
        ..Job::unknown()
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
    let doubts = judged(&histories.get(0), &fit, &jobs);
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
        near!(corrected(name), value, 1e-9);
    }
    says!(doubts[0].reason, "out of tolerance with probability");
}

#[test]
fn work_after_the_failed_check_is_in_question_and_that_before_the_good_one_is_not() {
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
    let doubts = judged(&histories.get(0), &fit, &jobs);
    let named: Vec<_> = doubts.iter().map(|d| d.job.job.as_str()).collect();
    assert_eq!(named, ["after", "in"]);
}

/// Midway between 0.01 ± 0.03 and 0.31 ± 0.03 without wander the readings leave √(0.03²/2) = 0.0212; the reference's
/// 0.04, shared by both, stays whole: √(0.0212² + 0.04²) = 0.045277.
#[test]
fn what_the_readings_share_is_not_lessened_by_a_second_reading() {
    let with = |common: f64| {
        let mut record = example();
        record.columns.u = vec![0.03; 2];
        record.columns.u_common = vec![common; 2];
        let histories = record.histories();
        let fit = Known {
            wander: 1e-9,
            ..Known::default()
        }
        .fit(360.0, 2);
        judged(&histories.get(0), &fit, &[job("mid", 180.0)])[0].clone()
    };
    let (alone, shared) = (with(0.0), with(0.04));
    near!(alone.u_error, 0.021_213, 1e-6);
    near!(shared.u_error, 0.045_277, 1e-6);
    assert!(shared.probability_out > alone.probability_out);
}

#[test]
fn a_passed_check_leaves_no_doubt_and_no_good_reading_recalls_all() {
    let passed = Record::new().check(0.0, 0.0).check(360.0, 0.1).histories();
    let fit = unfitted(Status::Failed);
    assert!(judged(&passed.get(0), &fit, &[job("a", 100.0)]).is_empty());
    let never = Record::new().check(0.0, 2.0).check(360.0, 3.0).histories();
    let jobs = [job("between", 100.0), job("before", -10.0)];
    let doubts = judged(&never.get(0), &fit, &jobs);
    assert_eq!(doubts.len(), 2);
    assert!(doubts.iter().all(|doubt| doubt.effect == Effect::Recall));
    let before = doubts.iter().find(|d| d.job.job == "before").unwrap();
    says!(before.reason, "no reading at which");
}

#[test]
fn outcomes_without_values_cannot_clear_a_job() {
    let histories = Record::new()
        .outcome(0.0, true)
        .outcome(360.0, false)
        .histories();
    let doubts = judged(
        &histories.get(0),
        &unfitted(Status::OutcomesOnly),
        &[job("a", 100.0)],
    );
    assert!(doubts[0].probability_out.is_nan());
    assert_eq!(doubts[0].effect, Effect::Recall);
}

#[test]
fn a_later_good_check_ends_the_window_and_clears_no_job() {
    let mut record = Record::new()
        .check(0.0, 0.0)
        .check(360.0, 3.0)
        .check(720.0, 0.0);
    record.item.tolerance = Tolerance::new(-1.0, 1.0);
    let histories = record.histories();
    let jobs = [job("in", 300.0), job("after", 500.0), job("later", 800.0)];
    let doubts = judged(&histories.get(0), &unfitted(Status::Failed), &jobs);
    let named: Vec<_> = doubts.iter().map(|d| d.job.job.as_str()).collect();
    assert_eq!(named.len(), 2);
    assert!(!named.contains(&"later"));
    assert!(doubts.iter().all(JobDoubt::is_in_doubt));
}

/// Flat for ten years, then shocked on an unknown day of 357 and found far out: work 77 days
/// into them is out with probability 77/357 = 0.2157.
#[test]
fn after_a_shock_without_a_date_the_step_has_the_say() {
    let mut record = Record::new();
    for year in 0..=10 {
        record = record.check(365.0 * f64::from(year), 0.0);
    }
    record = record.check(3650.0 + 357.0, 50.0);
    record.item.tolerance = Tolerance::new(-1.0, 1.0);
    let mut histories = record.histories();
    histories.columns.event[11] = Event::Shocked;
    let fit = Known {
        wander: 0.01,
        ..Known::default()
    }
    .fit(4007.0, 12);
    let doubts = judged(&histories.get(0), &fit, &[job("a", 3727.0)]);
    near!(doubts[0].probability_out, 77.0 / 357.0, 1e-6);
    let left = doubts[0].left.unwrap();
    assert_eq!(left.mechanism, Mechanism::Step);
    near!(left.at, 3650.0 + 178.5, 1e-6);
}

/// The reading of 0.97 with u = 0.05 lies in tolerance with probability 0.73: the one before
/// shows the item good, and work between the two is in question.
#[test]
fn a_reading_near_the_limit_does_not_show_the_item_good() {
    let mut record = Record::new()
        .check(0.0, 0.5)
        .check(360.0, 0.97)
        .check(720.0, 1.4);
    record.columns.u.fill(0.05);
    let histories = record.histories();
    let fit = Known {
        wander: 0.02,
        ..Known::default()
    }
    .fit(720.0, 3);
    let windows = suspect_windows(&histories.get(0), &fit, &rule());
    assert_eq!(windows[0].good_since, Some(0.0));
    let doubts = judged(
        &histories.get(0),
        &fit,
        &[job("350", 350.0), job("400", 400.0)],
    );
    assert_eq!(doubts.len(), 2);
    assert!(
        doubts[1].reason.contains("the good reading") && doubts[1].reason.contains("uncertain one"),
        "{}",
        doubts[1].reason
    );
    let out = doubts[1].probability_out;
    assert!((0.05..0.3).contains(&out), "{out}");
}
