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

crate::words::worded! {
    /// What a person decided of a proposal.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
    pub enum ApprovalVerdict with word {
        /// The proposed interval is in force.
        Approved = "approved",
        /// The interval in force stays.
        Rejected = "rejected",
        /// An interval of the person's own is in force.
        Other = "other",
    }
}

impl ApprovalVerdict {
    const ALL: [Self; 3] = [Self::Approved, Self::Rejected, Self::Other];

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
    /// Intervals that held before it, one after the other, by the register and the book, oldest first.
    pub earlier: Vec<HeldInterval>,
    /// The latest line.
    pub last: Approval,
}

/// An interval that held until another was put in force.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct HeldInterval {
    /// Since when, whole days since 1970-01-01; `None` for that of the register.
    pub since: Option<f64>,
    /// The interval, days.
    pub days: f64,
}

impl Signed {
    /// The interval that held before the one in force, days; `None` where none did.
    pub(crate) fn days_before(&self) -> Option<f64> {
        self.earlier.last().map(|held| held.days)
    }

    /// Day on which an item last calibrated on day `from` was due by the intervals that held before:
    /// none made it due before it was put in force, save where it was by the one before that.
    pub(crate) fn due_before(&self, from: f64) -> f64 {
        self.earlier.iter().fold(f64::INFINITY, |due, held| {
            let since = held.since.unwrap_or(f64::NEG_INFINITY);
            (from + held.days).max(since.min(due))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 365 d by the register, 66 d signed on day 20,510 and another interval after that, of an item last
    /// calibrated on day 20,200: due on the day of the signature, not 66 d after the calibration,
    /// when 365 d held.
    #[test]
    fn an_interval_that_held_before_made_nothing_due_before_it_was_signed() {
        let held = |since: Option<f64>, days: f64| HeldInterval { since, days };
        let signed = |earlier: &[HeldInterval]| Signed {
            in_force: None,
            earlier: earlier.to_vec(),
            last: Approval {
                proposed_days: None,
                approved_days: None,
                verdict: ApprovalVerdict::Rejected,
                by: String::new(),
                on: 20_600.0,
                valid_until: None,
                reason: String::new(),
            },
        };
        let both = signed(&[held(None, 365.0), held(Some(20_510.0), 66.0)]);
        assert_eq!(
            (both.due_before(20_200.0), both.days_before()),
            (20_510.0, Some(66.0))
        );
        // Calibrated since: by its own end.
        assert_eq!(both.due_before(20_520.0), 20_586.0);
        // Overdue by the register before it was signed.
        let late = signed(&[held(None, 100.0), held(Some(20_510.0), 66.0)]);
        assert_eq!(late.due_before(20_200.0), 20_300.0);
        assert_eq!(signed(&[]).due_before(20_200.0), f64::INFINITY);
    }
}
