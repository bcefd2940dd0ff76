/*! From a failed check to the jobs in doubt, each with a probability and a reason. */

use super::window::{Window, suspect_window};
use crate::drift::Fit;
use crate::records::{History, Tolerance};
use crate::stats::normal_between;
use crate::words::{count, date, figure, percent, plus_minus};

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

impl Job {
    /// A job of which nothing is known yet.
    pub fn unknown() -> Self {
        Self {
            date: f64::NAN,
            lower: f64::NAN,
            upper: f64::NAN,
            measured_error: f64::NAN,
            ..Self::default()
        }
    }
}

/// What the instrument's error does to the result of a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Effect {
    /// The job's row names no history, or cannot be read.
    CannotBeAssessed,
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
            Effect::CannotBeAssessed => "cannot_be_assessed",
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
        "on {} the instrument was out of tolerance with probability {}: its error then was {} (k = 2), between the good reading of {} and the failed one of {}",
        date(job.date),
        percent(probability_out),
        plus_minus(error, 2.0 * u_error, unit),
        date(bridge.from.0),
        date(bridge.to.0)
    );
    reason += &match limits {
        Some(limits) => {
            let z = |limit: f64| (limit - corrected) / u_error;
            let inside = if u_error > 0.0 {
                // What is uncertain is never certain, however the tail underflows.
                normal_between(z(limits.lower()), z(limits.upper()))
                    .clamp(f64::EPSILON, 1.0 - f64::EPSILON)
            } else {
                f64::from(limits.contains(corrected))
            };
            let verdict = if changed == Some(true) {
                "its statement changes"
            } else {
                "its statement would hold with the corrected value"
            };
            format!(
                "; corrected for it the measured error of {} is {}, inside the job's limits with probability {}: {verdict}",
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

/// A job of which no history is known, with the reason why.
pub fn unassessed(job: Job, reason: String) -> JobDoubt {
    JobDoubt {
        job,
        probability_out: f64::NAN,
        error: f64::NAN,
        u_error: f64::NAN,
        corrected_error: f64::NAN,
        effect: Effect::CannotBeAssessed,
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
