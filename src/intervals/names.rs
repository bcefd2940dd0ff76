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

    /// What the method does and where it is published, in one sentence.
    pub fn about(self) -> &'static str {
        match self {
            MethodName::DriftCrossing => {
                "longest time for which the predicted probability that the true error is in tolerance stays at the target (JCGM 106:2012 clause 7 on the forecast)"
            }
            MethodName::UncertaintyGrowth => {
                "longest time for which the expanded uncertainty of the predicted value stays within what is allowed (JCGM 100:2008)"
            }
            MethodName::Staircase => {
                "longer after a result well inside tolerance, shorter after one outside (ILAC-G24:2022 / OIML D 10, method 1)"
            }
            MethodName::ControlChart => {
                "drift and scatter of one point from check to check (ILAC-G24:2022 / OIML D 10, method 2)"
            }
            MethodName::InUseTime => {
                "due at a counter of use, with a calendar limit (ILAC-G24:2022 / OIML D 10, method 3)"
            }
            MethodName::InServiceCheck => {
                "checks between calibrations decide (ILAC-G24:2022 / OIML D 10, method 4)"
            }
            MethodName::SimpleResponse => {
                "lengthens by one factor after each result in tolerance, shortens by another after each one out"
            }
            MethodName::IncrementalResponse => {
                "as simple response, with steps that shrink as the record grows"
            }
            MethodName::IntervalTest => {
                "exact binomial limits of the proportion found in tolerance at the interval, against the target (Clopper and Pearson 1934)"
            }
            MethodName::Reliability => {
                "R(t) fitted to in/out outcomes of the group by maximum likelihood; interval where it reaches the target"
            }
            MethodName::GroupRegression => {
                "mean and growing variance of the change since calibration, by regression over the group"
            }
            MethodName::LeastCost => {
                "interval with the least expected cost per year of calibrations and of time out of tolerance, on the forecast"
            }
        }
    }
}
