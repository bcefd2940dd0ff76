/*! What a group's fitted reliability says to the methods. */

use crate::reliability::{GroupInterval, GroupReliability};

/// A group's reliability result, as the reliability room fits it.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub(crate) struct GroupReliabilitySummary {
    /// Interval at the reliability target, days; `None` where the outcomes give none.
    pub interval_days: Option<f64>,
    /// Confidence limits of that interval, days.
    pub limits: Option<(f64, f64)>,
    /// Number of lives behind it: one outcome each.
    pub weight: f64,
    /// What it rests on, in one sentence; without an interval, why there is none.
    pub why: String,
}

impl GroupReliabilitySummary {
    /// What a fitted group says to the methods.
    pub(crate) fn of(result: &GroupReliability) -> Self {
        Self::at(result, &result.interval)
    }

    /// What it says about one of its intervals.
    pub(crate) fn at(result: &GroupReliability, interval: &GroupInterval) -> Self {
        Self {
            interval_days: interval.days,
            limits: interval.limits_days,
            weight: result.outcomes.life_totals().0 as f64,
            why: interval.why.clone(),
        }
    }
}
