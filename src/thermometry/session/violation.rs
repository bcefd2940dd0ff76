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

/// What became of a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum SessionStanding {
    /// Used as it is.
    Used,
    /// Used with a wider uncertainty or a noted doubt.
    Doubtful,
    /// Not used.
    Rejected,
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

    /// The word in tables.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Used => "used",
            Self::Doubtful => "used with doubt",
            Self::Rejected => "rejected",
        }
    }
}
