/*! A violated rule: which, why in words, and what it does to the check. */

use super::settings::OnViolation;
use serde::Serialize;

/// One violated rule.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Violation {
    /// Name of the rule, as the setting that decides about it.
    pub rule: &'static str,
    /// What was found against what limit.
    pub words: String,
    /// What it does to the check.
    pub effect: OnViolation,
}

impl Violation {
    pub(crate) fn new(rule: &'static str, effect: OnViolation, words: impl Into<String>) -> Self {
        Self {
            rule,
            words: words.into(),
            effect,
        }
    }
}

crate::words::worded! {
    /// What became of a check.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
    #[serde(rename_all = "lowercase")]
    pub(crate) enum SessionStanding with word {
        /// Used as it is.
        Used = "used",
        /// Used with a wider uncertainty or a noted doubt.
        Doubtful = "used with doubt",
        /// Not used.
        Rejected = "rejected",
    }
}

impl SessionStanding {
    /// Standing of a check with these violations.
    pub(crate) fn of(violations: &[Violation]) -> Self {
        if violations.iter().any(|v| v.effect == OnViolation::Reject) {
            Self::Rejected
        } else if violations.is_empty() {
            Self::Used
        } else {
            Self::Doubtful
        }
    }
}
