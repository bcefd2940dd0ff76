/*! What one method proposes for one history. */

use super::MethodName;
use crate::words::not_applicable;

/// What one method proposes for one history.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Proposal {
    pub method: MethodName,
    /// Interval in days from the last calibration; `None` = not applicable, `why` says why not.
    /// It may end before the as-of date (then the item is overdue), and may pass cap or floor:
    /// bounds are the policy's.
    pub interval_days: Option<f64>,
    /// Likely range of that interval in days, where the method gives one.
    pub limits_days: Option<(f64, f64)>,
    /// Effective amount of evidence: number of independent checks behind the proposal.
    pub weight: f64,
    /// What it rests on, in words and numbers ("12 checks over 5.5 years, 0 out").
    pub evidence: String,
    /// One sentence a metrologist would sign; without an interval, why there is none.
    pub why: String,
}

impl Proposal {
    /// A proposal of `days`.
    pub(crate) fn of(
        method: MethodName,
        days: f64,
        weight: f64,
        evidence: String,
        why: String,
    ) -> Self {
        Self {
            method,
            interval_days: Some(days),
            limits_days: None,
            weight,
            evidence,
            why,
        }
    }

    /// The same with a likely range, days.
    pub(crate) fn within(mut self, limits: Option<(f64, f64)>) -> Self {
        self.limits_days = limits;
        self
    }

    /// No proposal: `because` completes "not applicable, because …".
    pub(crate) fn not_applicable(method: MethodName, because: impl std::fmt::Display) -> Self {
        Self {
            method,
            interval_days: None,
            limits_days: None,
            weight: 0.0,
            evidence: String::new(),
            why: because.to_string(),
        }
    }

    /// The sentence, or that the method is not applicable, and why.
    pub(crate) fn reason(&self) -> String {
        match self.interval_days {
            Some(_) => self.why.clone(),
            None => not_applicable(&self.why),
        }
    }
}
