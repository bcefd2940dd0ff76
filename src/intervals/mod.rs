/*! Interval methods: one file a published method, each from evidence to one proposal. */

mod settings;

pub use settings::IntervalSettings;

use crate::drift::Fit;
use crate::records::{History, Tolerance};
use serde::{Deserialize, Serialize};

/// A method, as settings and tables name it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MethodName {
    /// Longest time for which the predicted probability in tolerance stays at the target.
    DriftCrossing,
    /// Longest time for which the expanded uncertainty of the predicted value stays allowed.
    UncertaintyGrowth,
    /// ILAC-G24 / OIML D 10 method 1.
    Staircase,
    /// ILAC-G24 / OIML D 10 method 2.
    ControlChart,
    /// ILAC-G24 / OIML D 10 method 3.
    InUseTime,
    /// ILAC-G24 / OIML D 10 method 4.
    InServiceCheck,
    /// Lengthen after in, shorten after out, by fixed factors.
    SimpleResponse,
    /// As simple response, with steps that shrink as the record grows.
    IncrementalResponse,
    /// Observed proportion in tolerance at the interval tested against the target.
    IntervalTest,
    /// R(t) fitted to in/out outcomes of the group.
    Reliability,
    /// Drift and growing variance by regression on time since calibration over the group.
    GroupRegression,
    /// Interval that minimises expected cost per year.
    LeastCost,
}

impl MethodName {
    /// Every method, in the order of the list in the settings reference.
    pub const ALL: [MethodName; 12] = [
        MethodName::DriftCrossing,
        MethodName::UncertaintyGrowth,
        MethodName::Staircase,
        MethodName::ControlChart,
        MethodName::InUseTime,
        MethodName::InServiceCheck,
        MethodName::SimpleResponse,
        MethodName::IncrementalResponse,
        MethodName::IntervalTest,
        MethodName::Reliability,
        MethodName::GroupRegression,
        MethodName::LeastCost,
    ];

    /// The word used in settings and tables.
    pub fn word(self) -> &'static str {
        match self {
            MethodName::DriftCrossing => "drift_crossing",
            MethodName::UncertaintyGrowth => "uncertainty_growth",
            MethodName::Staircase => "staircase",
            MethodName::ControlChart => "control_chart",
            MethodName::InUseTime => "in_use_time",
            MethodName::InServiceCheck => "in_service_check",
            MethodName::SimpleResponse => "simple_response",
            MethodName::IncrementalResponse => "incremental_response",
            MethodName::IntervalTest => "interval_test",
            MethodName::Reliability => "reliability",
            MethodName::GroupRegression => "group_regression",
            MethodName::LeastCost => "least_cost",
        }
    }

    /// The method as a sentence names it.
    pub fn words(self) -> &'static str {
        match self {
            MethodName::DriftCrossing => "drift crossing",
            MethodName::UncertaintyGrowth => "uncertainty growth",
            MethodName::Staircase => "staircase",
            MethodName::ControlChart => "control chart",
            MethodName::InUseTime => "in-use time",
            MethodName::InServiceCheck => "in-service check",
            MethodName::SimpleResponse => "simple response",
            MethodName::IncrementalResponse => "incremental response",
            MethodName::IntervalTest => "interval test",
            MethodName::Reliability => "reliability",
            MethodName::GroupRegression => "group regression",
            MethodName::LeastCost => "least cost",
        }
    }
}

/// What one method proposes for one history.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// The method.
    pub method: MethodName,
    /// Interval in days from the last calibration; `None` = not applicable, `reason` says why.
    pub interval_days: Option<f64>,
    /// Likely range of that interval in days, where the method gives one.
    pub limits_days: Option<(f64, f64)>,
    /// Effective amount of evidence: number of independent checks behind the proposal.
    pub weight: f64,
    /// What it rests on, in words and numbers ("12 checks over 5.5 years, 0 out").
    pub evidence: String,
    /// One sentence a metrologist would sign, or "not applicable, because …".
    pub reason: String,
}

/// All that a method may look at for one history.
#[derive(Debug, Clone, Copy)]
pub struct Evidence<'a> {
    /// The checks.
    pub history: History<'a>,
    /// The fitted drift.
    pub fit: &'a Fit,
    /// Tolerance in force, where there is one.
    pub tolerance: Option<Tolerance>,
    /// The as-of date, days since 1970-01-01.
    pub as_of: f64,
    /// Day the interval counts from.
    pub last_calibration: f64,
    /// Interval in use, days.
    pub current_interval: f64,
    /// Longest and shortest interval allowed, days.
    pub cap: f64,
    /// Shortest interval allowed, days.
    pub floor: f64,
    /// Reliability target, 0 to 1.
    pub target: f64,
}
