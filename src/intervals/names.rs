/*! The methods' names, in settings, tables and sentences. */

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
