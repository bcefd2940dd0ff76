/*! The interval methods: one line each, from which their names, settings and registry are made. */

use serde::{Deserialize, Serialize};

/// Gives every method to `$take`: what it does and where it is published; its type and its file;
/// the words by which sentences name it; the type of its settings, where it has some, which the
/// type holds as `settings`. The file's name is the word in settings and tables.
macro_rules! interval_methods {
    ($take:ident) => {
        $take! {
            /// longest time for which the predicted probability that the true error is in tolerance stays at the target (JCGM 106:2012 clause 7 on the forecast)
            DriftCrossing drift_crossing "drift crossing";
            /// longer after a result well inside tolerance, shorter after one outside (ILAC-G24:2022 / OIML D 10, method 1)
            Staircase staircase "staircase" with StaircaseSettings;
            /// drift and scatter of one point from check to check (ILAC-G24:2022 / OIML D 10, method 2)
            ControlChart control_chart "control chart" with ControlChartSettings;
            /// due at a counter of use, with a calendar limit (ILAC-G24:2022 / OIML D 10, method 3)
            InUseTime in_use_time "in-use time" with InUseTimeSettings;
            /// checks between calibrations decide (ILAC-G24:2022 / OIML D 10, method 4)
            InServiceCheck in_service_check "in-service check" with InServiceCheckSettings;
            /// lengthens by one factor after each result in tolerance, shortens by another after each one out
            SimpleResponse simple_response "simple response" with SimpleResponseSettings;
            /// as simple response, with steps that shrink as the record grows
            IncrementalResponse incremental_response "incremental response" with IncrementalResponseSettings;
            /// exact binomial limits of the proportion found in tolerance at the interval, against the target (Clopper and Pearson 1934)
            IntervalTest interval_test "interval test" with IntervalTestSettings;
            /// R(t) fitted to in/out outcomes of the group by maximum likelihood; interval where it reaches the target
            Reliability reliability "reliability";
            /// longest time for which the expanded uncertainty of the predicted value stays within what is allowed (JCGM 100:2008)
            UncertaintyGrowth uncertainty_growth "uncertainty growth" with UncertaintyGrowthSettings;
            /// mean and growing variance of the change since calibration, by regression over the group
            GroupRegression group_regression "group regression" with GroupRegressionSettings;
            /// interval with the least expected cost per year of calibrations and of time out of tolerance, on the forecast
            LeastCost least_cost "least cost" with LeastCostSettings;
        }
    };
}
pub(super) use interval_methods;

macro_rules! names {
    ($($(#[doc = $about:literal])* $name:ident $file:ident $words:literal $(with $settings:ident)?;)*) => {
        /// A method, as settings and tables name it.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum MethodName {
            $($(#[doc = $about])* $name,)*
        }

        impl MethodName {
            /// Every method.
            pub(crate) const ALL: &[MethodName] = &[$(MethodName::$name),*];

            /// The word used in settings and tables.
            pub(crate) fn word(self) -> &'static str {
                match self {
                    $(MethodName::$name => stringify!($file),)*
                }
            }

            /// The method as a sentence names it.
            pub(crate) fn words(self) -> &'static str {
                match self {
                    $(MethodName::$name => $words,)*
                }
            }

            /// What the method does and where it is published, in one sentence.
            pub(crate) fn about(self) -> &'static str {
                match self {
                    $(MethodName::$name => concat!($($about),*).trim(),)*
                }
            }
        }
    };
}

interval_methods!(names);
