/*! Why an item has no value to state on a day. */

use crate::drift::Status;
use crate::drift::series::use_rate::NoUseRate;
use crate::words::date;
use thiserror::Error;

/// What forbids a value; days since 1970-01-01.
#[derive(Debug, Clone, PartialEq, Error)]
#[allow(missing_docs)]
pub(crate) enum NoValue {
    #[error("{} lies before the last check, of {}: give that day or a later one", date(*day), date(*last))]
    Before { day: f64, last: f64 },
    #[error("{} lies more than a century after the last check", date(*day))]
    Far { day: f64 },
    #[error("it is withdrawn until a person has decided; it has no value to rely on")]
    Withdrawn,
    /// A shift that many items share, in words.
    #[error("{0}")]
    Shift(String),
    /// Why the level that its checks tell is in doubt.
    #[error("{0}")]
    Session(String),
    /// What its control chart finds.
    #[error("it is {0}, and its case is open")]
    OutOfControl(String),
    /// Why its sessions ask for another check.
    #[error("its sessions ask for a repeated check first: {0}")]
    Repeat(String),
    #[error(
        "its last reading, of {}, lies outside what the checks before it predict, and nothing confirms it: \
         repeat the check first",
        date(*day)
    )]
    Unconfirmed { day: f64 },
    #[error("the checks allow no forecast: {}", .0.words())]
    NoForecast(Status),
    #[error(transparent)]
    Use(#[from] NoUseRate),
}
