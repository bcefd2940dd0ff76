/*! A piece of work done with an instrument, and what is to be said about it. */

use super::crossing::LeftTolerance;
use crate::records::Tolerance;

/// A piece of work done with an instrument.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Job {
    /// Place in the jobs table, from 0.
    pub row: usize,
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
    /// Error that was reported, in the instrument's unit; NaN where not known.
    pub measured_error: f64,
    /// Change of the reported error for one unit of the instrument's error; NaN where not stated.
    pub sensitivity: f64,
    /// Standard uncertainty of the reported error without the instrument's part; NaN where
    /// not stated.
    pub u: f64,
    /// Unit of the reported error; empty where not stated.
    pub unit: String,
    /// True where one number of the row has that unit beside it and another has none.
    pub partly_bare: bool,
    /// The instrument that was calibrated, where the work was one; else empty.
    pub calibrates: String,
}

impl Job {
    /// A job of which nothing is known yet.
    pub(crate) fn unknown() -> Self {
        Self {
            date: f64::NAN,
            lower: f64::NAN,
            upper: f64::NAN,
            measured_error: f64::NAN,
            sensitivity: f64::NAN,
            u: f64::NAN,
            ..Self::default()
        }
    }

    /// Limits of the job, where they and its result are known.
    pub(super) fn limits(&self) -> Option<Tolerance> {
        let side = |limit: f64, open: f64| if limit.is_nan() { open } else { limit };
        let stated = !(self.lower.is_nan() && self.upper.is_nan());
        let limits = Tolerance::new(
            side(self.lower, f64::NEG_INFINITY),
            side(self.upper, f64::INFINITY),
        );
        limits.filter(|_| stated && self.measured_error.is_finite())
    }
}

crate::words::worded! {
    /// What the instrument's error does to the result of a job.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
    pub(crate) enum Effect with word {
        /// The job's row names no history, or cannot be read.
        CannotBeAssessed = "cannot_be_assessed",
        /// The statement made for the job changes, or it cannot be told.
        Recall = "recall",
        /// The instrument was likely out of tolerance; the statement stands where it can be judged.
        Doubtful = "doubtful",
        /// The instrument was likely in tolerance.
        Stands = "stands",
    }
}

/// What is to be said about one job.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct JobDoubt {
    pub job: Job,
    /// Probability that the instrument was out of tolerance on that day.
    pub probability_out: f64,
    /// Its error on that day, and the standard uncertainty of it.
    pub error: f64,
    /// Standard uncertainty of that error.
    pub u_error: f64,
    /// The sensitivity that the job was judged with: its own, else that of the worse sign.
    pub sensitivity: f64,
    /// The reported error of the job corrected for it; NaN where not known.
    pub corrected_error: f64,
    /// When the instrument left its tolerance; `None` where that is not known.
    pub left: Option<LeftTolerance>,
    /// Date of the finding that puts it in question; NaN where that is not one of its own instrument.
    pub found: f64,
    /// Row of the job in doubt from which this one follows; `None` = its own instrument failed.
    pub through: Option<usize>,
    /// Effect on the job.
    pub effect: Effect,
    /// One sentence with numbers and units.
    pub reason: String,
}

impl JobDoubt {
    /// A job of which nothing but the effect and its reason is known.
    pub(crate) fn with_reason(job: Job, effect: Effect, reason: String) -> Self {
        let sensitivity = job.sensitivity;
        Self {
            job,
            probability_out: f64::NAN,
            error: f64::NAN,
            u_error: f64::NAN,
            sensitivity,
            corrected_error: f64::NAN,
            left: None,
            found: f64::NAN,
            through: None,
            effect,
            reason,
        }
    }

    /// True where the job's statement changes or cannot be told to stand.
    pub(crate) fn is_in_doubt(&self) -> bool {
        self.effect != Effect::Stands
    }
}

/// A job of which no history is known, with the reason why.
pub(crate) fn unassessed(job: Job, reason: String) -> JobDoubt {
    JobDoubt::with_reason(job, Effect::CannotBeAssessed, reason)
}
