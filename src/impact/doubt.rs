/*! From a failed check to the jobs in doubt, each with a probability and a reason. */

use super::Bridge;
use crate::drift::Fit;
use crate::intervals::words::{count, date, figure, percent};
use crate::records::{DAYS_PER_YEAR, History, Outcome, Tolerance};
use crate::stats::normal_between;

/// Probability out of tolerance above which a job is in doubt.
const IN_DOUBT: f64 = 0.05;

/// A piece of work done with an instrument.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Job {
    /// Identity of the job.
    pub job: String,
    /// The instrument used.
    pub instrument: String,
    /// The point used; empty = every point of the instrument.
    pub point: String,
    /// When: days since 1970-01-01.
    pub date: f64,
    /// Lower limit of what was measured; NaN where none.
    pub lower: f64,
    /// Upper limit of what was measured; NaN where none.
    pub upper: f64,
    /// Error that was measured with the instrument, in its unit; NaN where not known.
    pub measured_error: f64,
}

/// What the instrument's error does to the result of a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Effect {
    /// The statement made for the job changes, or it cannot be told.
    Recall,
    /// The instrument was likely out of tolerance; the statement stands where it can be judged.
    Doubtful,
    /// The instrument was likely in tolerance.
    Stands,
}

impl Effect {
    /// The word written to tables.
    pub fn word(self) -> &'static str {
        match self {
            Effect::Recall => "recall",
            Effect::Doubtful => "doubtful",
            Effect::Stands => "stands",
        }
    }
}

/// What is to be said about one job.
#[derive(Debug, Clone, PartialEq)]
pub struct JobDoubt {
    /// The job.
    pub job: Job,
    /// Probability that the instrument was out of tolerance on that day.
    pub probability_out: f64,
    /// Its error on that day, and the standard uncertainty of it.
    pub error: f64,
    /// Standard uncertainty of that error.
    pub u_error: f64,
    /// The measured error of the job corrected for it; NaN where not known.
    pub corrected_error: f64,
    /// Effect on the job.
    pub effect: Effect,
    /// One sentence with numbers and units.
    pub reason: String,
}

/// The stretch in which work is suspect: from the last known good reading to the failed one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// The two readings; times in days since 1970-01-01, wander per day. `None` where
    /// values are not known and only the dates are.
    pub bridge: Option<Bridge>,
    /// When the item was last known good; `None` = never in the record.
    pub good_since: Option<f64>,
    /// When it was found out of tolerance.
    pub found: f64,
    /// Tolerance in force at the failed check.
    pub tolerance: Option<Tolerance>,
}

/// The suspect window, where the last judged check was out of tolerance; `None` where it was not.
pub fn suspect_window(history: &History<'_>, fit: &Fit) -> Option<Window> {
    let failed = (0..history.len())
        .rev()
        .find(|&i| history.outcome_at(i) != Outcome::Unknown)?;
    if history.outcome_at(failed) != Outcome::Out {
        return None;
    }
    let tolerance = history.tolerance_at(failed);
    let good = (0..failed).rev().find(|&i| known_good(history, i));
    let found = history.date[failed];
    let bridge = good.and_then(|good| {
        let (from, to) = (history.left(good), history.as_found[failed]);
        if !from.is_finite() || !to.is_finite() {
            return None;
        }
        let u = |i: usize| {
            if history.u[i].is_nan() {
                0.0
            } else {
                history.u[i]
            }
        };
        let span = found - history.date[good];
        Some(Bridge {
            from: (history.date[good], from, u(good)),
            to: (found, to, u(failed)),
            wander: wander_per_day(fit, to - from, span),
        })
    });
    Some(Window {
        bridge,
        good_since: good.map(|i| history.date[i]),
        found,
        tolerance,
    })
}

/// Wander of the model, or that which makes the change itself an ordinary one.
fn wander_per_day(fit: &Fit, change: f64, span: f64) -> f64 {
    let known = fit.wander_per_sqrt_year.powi(2) / DAYS_PER_YEAR;
    let ordinary = if span > 0.0 {
        change * change / span
    } else {
        0.0
    };
    if known.is_finite() && known > 0.0 {
        known
    } else {
        ordinary
    }
}

/// Jobs of this history's instrument and point since the last good check, the likeliest
/// to be wrong first; empty where the last check did not fail.
pub fn assess(history: &History<'_>, fit: &Fit, jobs: &[Job]) -> Vec<JobDoubt> {
    let Some(window) = suspect_window(history, fit) else {
        return Vec::new();
    };
    let item = history.item;
    let concerns = |job: &&Job| {
        job.instrument == item.instrument
            && (job.point.is_empty() || job.point == item.point)
            && job.date <= window.found
            && window.good_since.is_none_or(|good| job.date >= good)
    };
    let mut doubts: Vec<JobDoubt> = jobs
        .iter()
        .filter(concerns)
        .map(|job| judge(job, &window, &item.unit))
        .collect();
    doubts.sort_by(|a, b| {
        let by_effect = a.effect.cmp(&b.effect);
        by_effect
            .then(b.probability_out.total_cmp(&a.probability_out))
            .then(a.job.date.total_cmp(&b.job.date))
            .then(a.job.job.cmp(&b.job.job))
    });
    doubts
}

fn judge(job: &Job, window: &Window, unit: &str) -> JobDoubt {
    let (Some(bridge), Some(tolerance)) = (window.bridge, window.tolerance) else {
        return unjudged(job, window);
    };
    let (error, u_error) = bridge.at(job.date);
    let probability_out = bridge.probability_out(job.date, tolerance);
    let corrected = job.measured_error - error;
    let limits = job_limits(job);
    let changed = limits.map(|limits| {
        let before = limits.contains(job.measured_error);
        before != limits.contains(corrected)
    });
    let effect = match (changed, probability_out > IN_DOUBT) {
        (Some(true), _) | (None, true) => Effect::Recall,
        (Some(false), true) => Effect::Doubtful,
        (_, false) => Effect::Stands,
    };
    let mut reason = format!(
        "on {} the instrument was out of tolerance with probability {}: its error then was {} ± {} (k = 2), between the good reading of {} and the failed one of {}",
        date(job.date),
        percent(probability_out),
        figure(error, ""),
        figure(2.0 * u_error, unit),
        date(bridge.from.0),
        date(bridge.to.0)
    );
    reason += &match limits {
        Some(limits) => {
            let z = |limit: f64| (limit - corrected) / u_error;
            let inside = if u_error > 0.0 {
                normal_between(z(limits.lower()), z(limits.upper()))
            } else {
                f64::from(limits.contains(corrected))
            };
            let stands = if changed == Some(true) {
                "changes"
            } else {
                "stands"
            };
            format!(
                "; corrected for it the measured error of {} is {}, inside the job's limits with probability {}, so the statement {stands}",
                figure(job.measured_error, ""),
                figure(corrected, unit),
                percent(inside)
            )
        }
        None => "; the job's own limits or result are not known, so its statement cannot be judged"
            .into(),
    };
    JobDoubt {
        job: job.clone(),
        probability_out,
        error,
        u_error,
        corrected_error: corrected,
        effect,
        reason,
    }
}

/// Without values at both ends nothing can be said for the job.
fn unjudged(job: &Job, window: &Window) -> JobDoubt {
    let why = match window.good_since {
        None => "the record holds no reading at which the instrument was known good".to_string(),
        Some(good) => format!(
            "the values of {} or of the failed check are not known",
            date(good)
        ),
    };
    JobDoubt {
        job: job.clone(),
        probability_out: f64::NAN,
        error: f64::NAN,
        u_error: f64::NAN,
        corrected_error: f64::NAN,
        effect: Effect::Recall,
        reason: format!(
            "the instrument was found out of tolerance on {} and {why}, so the job of {} cannot be cleared",
            date(window.found),
            date(job.date)
        ),
    }
}

/// Limits of the job, where they and its result are known.
fn job_limits(job: &Job) -> Option<Tolerance> {
    let side = |limit: f64, open: f64| if limit.is_nan() { open } else { limit };
    let limits = Tolerance::new(
        side(job.lower, f64::NEG_INFINITY),
        side(job.upper, f64::INFINITY),
    );
    limits.filter(|_| job.measured_error.is_finite())
}

/// True where check `i` left the item in tolerance, by its value, else by its outcome.
fn known_good(history: &History<'_>, i: usize) -> bool {
    let left = history.left(i);
    match history.tolerance_at(i) {
        Some(tolerance) if left.is_finite() => tolerance.contains(left),
        _ => history.outcome_at(i) == Outcome::In,
    }
}

/// "3 of 12 jobs to recall, 2 doubtful" for a summary.
pub fn summary(doubts: &[JobDoubt]) -> String {
    let number = |effect| doubts.iter().filter(|d| d.effect == effect).count();
    format!(
        "of {} since the last good reading {} to recall, {} doubtful, {} stand",
        count(doubts.len(), "job"),
        number(Effect::Recall),
        number(Effect::Doubtful),
        number(Effect::Stands)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::Status;
    use crate::intervals::testing::{Known, Record, unfitted};

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
}
