/*! What is wrong with a line of the book of approvals. */

use crate::records::MOST_DAYS;
use crate::records::book::NoEntry;

/// Why a line of the book of approvals does not count.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[allow(missing_docs)]
pub(crate) enum NoApproval {
    #[error(transparent)]
    Entry(#[from] NoEntry),
    #[error("decision \"{0}\": expected approved, rejected or other")]
    Decision(String),
    #[error("expected who decided (by)")]
    Unsigned,
    #[error("a rejected line has approved_days: leave it empty, or write other")]
    RejectedWithDays,
    #[error("expected the interval that is in force (approved_days)")]
    NoInterval,
    #[error(
        "approved_days {own} is not the proposed {proposed}: write other for an interval of one's own"
    )]
    OtherDays { own: f64, proposed: f64 },
    #[error("expected the day of the decision (on)")]
    NoDay,
    #[error("valid_until lies before the day of the decision")]
    ValidBefore,
    #[error("{name} \"{text}\": expected days above 0, {MOST_DAYS} at the most")]
    Days { name: &'static str, text: String },
}
