/*! Why the lives of a group do not carry a result: what a person is told instead of a number. */

use crate::words::count;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Why there is no fit, test, bound or rate.
#[derive(Debug, Clone, PartialEq, Error, Serialize, Deserialize)]
pub(crate) enum WhyNot {
    /// No check tells how long an item stayed in tolerance.
    #[error("no outcome with a time since renewal")]
    NoOutcome,
    /// No check has a time since renewal.
    #[error("no check with a time since renewal")]
    NoCheck,
    /// The likelihood grows without end as the items last longer.
    #[error("no failure seen: the likelihood has no maximum, only a bound exists")]
    NoFailure,
    /// The likelihood grows without end as the items last shorter.
    #[error("no item was seen in tolerance after renewal: only a bound exists")]
    OnlyFailures,
    /// Fewer times than parameters.
    #[error(
        "{parameters} parameters need at least {parameters} distinct times since renewal, there {}",
        if *times == 1 { "is 1".to_string() } else { format!("are {times}") }
    )]
    FewTimes {
        /// Of the model.
        parameters: usize,
        /// Distinct times since renewal.
        times: usize,
    },
    /// No start of the search has a finite likelihood.
    #[error("no start has a finite likelihood")]
    NoStart,
    /// A test of proportions needs independent ones.
    #[error("lives with several checks: proportions at the checks are not independent")]
    Dependent,
    /// Too few classes of times for a test.
    #[error(
        "{classes} classes of times with at least {expected} expected in and out, the model has {free} free parameters"
    )]
    FewClasses {
        /// Classes of neighbouring times.
        classes: usize,
        /// Fewest expected in and out in a class.
        expected: f64,
        /// Free parameters of the model.
        free: usize,
    },
    /// No model of the group was fitted.
    #[error("no model was fitted")]
    NoModel,
    /// Too few lives to show a reliability.
    #[error("{} without failure, {needed} are needed to show R ≥ {target} at {} %", things(*lives, *several), percent(*level))]
    FewLives {
        /// Seen without failure.
        lives: u64,
        /// Lives may have several checks.
        several: bool,
        /// Least number that would do.
        needed: u64,
        /// Reliability to be shown.
        target: f64,
        /// Confidence.
        level: f64,
    },
    /// Too many failures to show a reliability at any time seen.
    #[error("{inside} of {} in tolerance do not show R ≥ {target} at {} % for any time seen", things(*lives, *several), percent(*level))]
    NotShown {
        /// In tolerance.
        inside: u64,
        /// Of these.
        lives: u64,
        /// Lives may have several checks.
        several: bool,
        /// Reliability to be shown.
        target: f64,
        /// Confidence.
        level: f64,
    },
    /// Every cell of a table of rates is without failure.
    #[error("no failure in any cell: only upper limits of the rates exist")]
    NoFailureInCells,
    /// Levels of factors that never meet.
    #[error(
        "the effects cannot be told apart: some combination of levels never occurs with another"
    )]
    Apart,
    /// Factors that are one.
    #[error("the effects cannot be told apart: two factors always change together")]
    Together,
    /// The isotonic fit refused its records.
    #[error("no step curve: {0}")]
    NoSteps(String),
}

/// What is counted: lives, or checks where each life has one.
fn things(number: u64, several: bool) -> String {
    count(number as usize, if several { "life" } else { "check" })
}

/// A level as a percentage without trailing zeros.
pub(super) fn percent(level: f64) -> String {
    let text = format!("{:.3}", 100.0 * level);
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
