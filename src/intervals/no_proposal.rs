/*! Why a method makes no proposal for an item. */

use crate::drift::Status;
use crate::drift::series::use_rate::NoUseRate;
use std::borrow::Cow;
use thiserror::Error;

/// What is missing; completes "not applicable, because …".
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub(crate) enum NoProposal {
    /// The item has no tolerance.
    #[error("no tolerance was given")]
    NoTolerance,
    /// No check says in or out.
    #[error("no check has a known outcome")]
    NoOutcome,
    /// No check is a calibration.
    #[error("there is no calibration")]
    NoCalibration,
    /// The last calibration states no value left.
    #[error("the value left at the last calibration is not known")]
    LeftUnknown,
    /// The fit has this status.
    #[error("{}", of_fit(*.0))]
    Fit(Status),
    /// The fit has an estimate and forecasts nothing.
    #[error("the fit gives no forecast")]
    NoForecast,
    /// The use to come is not known.
    #[error(transparent)]
    Use(#[from] NoUseRate),
    /// The usage counter falls.
    #[error("the usage counter runs backwards")]
    CounterFalls,
    /// The usage counter stood still.
    #[error("the item was not used during the last year of its counter")]
    Unused,
    /// Fewer changes between calibrations than the method needs.
    #[error(
        "{whose} has {known} known changes between calibrations, and the regression needs {needed}"
    )]
    FewChanges {
        /// The item, or its group by name.
        whose: String,
        /// Changes known.
        known: u64,
        /// Changes needed.
        needed: u32,
    },
    /// The changes have no spread in time.
    #[error("the changes leave nothing to regress on")]
    NoRegression,
    /// What one method alone misses.
    #[error("{0}")]
    Because(Cow<'static, str>),
}

impl From<&'static str> for NoProposal {
    fn from(words: &'static str) -> Self {
        Self::Because(words.into())
    }
}

impl From<String> for NoProposal {
    fn from(words: String) -> Self {
        Self::Because(words.into())
    }
}

fn of_fit(status: Status) -> &'static str {
    match status {
        Status::LevelOnly => "there are too few readings to estimate a drift",
        Status::Undetermined => "the dates of its checks cannot tell the terms of the drift model",
        Status::OutcomesOnly => "only in/out outcomes were kept, no values to forecast",
        Status::NoReading => "there is no usable reading",
        Status::Estimated | Status::FromClass | Status::Failed => "the drift could not be fitted",
    }
}
