/*! One line of the book of approvals: what a person decided of an interval. */

use serde::{Deserialize, Serialize};

/// Columns of the book, the hash of the line before left out.
pub(crate) const APPROVAL_COLUMNS: [&str; 9] = [
    "instrument",
    "point",
    "proposed_days",
    "approved_days",
    "decision",
    "by",
    "on",
    "valid_until",
    "reason",
];

/// What a person decided of a proposal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum ApprovalVerdict {
    /// The proposed interval is in force.
    Approved,
    /// The interval in force stays.
    Rejected,
    /// An interval of the person's own is in force.
    Other,
}

impl ApprovalVerdict {
    const ALL: [Self; 3] = [Self::Approved, Self::Rejected, Self::Other];

    /// The word of the book.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Approved => "approved",
            Self::Rejected => "rejected",
            Self::Other => "other",
        }
    }

    /// The verdict of such a word.
    pub(crate) fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|known| known.word() == word)
    }
}

/// One line of the book.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Approval {
    /// Interval that the program had proposed, days.
    pub proposed_days: Option<f64>,
    /// Interval that the line puts in force, days; none of a rejection.
    pub approved_days: Option<f64>,
    /// What was decided.
    pub verdict: ApprovalVerdict,
    /// Who decided.
    pub by: String,
    /// When, whole days since 1970-01-01.
    pub on: f64,
    /// Last day on which it holds; `None` = no end.
    pub valid_until: Option<f64>,
    /// Why; may be empty.
    pub reason: String,
}

impl Approval {
    /// True where it holds on the day `as_of`.
    pub(crate) fn holds(&self, as_of: f64) -> bool {
        self.on <= as_of && self.valid_until.is_none_or(|end| end >= as_of)
    }

    pub(super) fn says_as(&self, other: &Self) -> bool {
        self.verdict == other.verdict && self.approved_days == other.approved_days
    }
}

/// What the book says of one item.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Signed {
    /// The line whose interval is in force; `None` where none is valid.
    pub in_force: Option<Approval>,
    /// Interval that held before it, by the book or the register, days; `None` where none did.
    pub days_before: Option<f64>,
    /// The latest line.
    pub last: Approval,
}
