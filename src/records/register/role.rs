/*! What an item serves for, and what its control chart is drawn about, as the register words it. */

use serde::{Deserialize, Serialize};

/// What an item serves for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Not stated.
    #[default]
    Unstated,
    /// A reference: others are compared with it.
    Reference,
    /// A working item: its control tells of itself alone.
    Working,
    /// A check standard: measured beside others, it tells whether the process is in control.
    CheckStandard,
}

impl Role {
    /// The role of a register's `word`; `None` for another word.
    pub(crate) fn of(word: &str) -> Option<Self> {
        match word.trim().to_lowercase().replace([' ', '-'], "_").as_str() {
            "" => Some(Role::Unstated),
            "reference" => Some(Role::Reference),
            "working" => Some(Role::Working),
            "check_standard" => Some(Role::CheckStandard),
            _ => None,
        }
    }

    /// The word in tables; empty where not stated.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Role::Unstated => "",
            Role::Reference => "reference",
            Role::Working => "working",
            Role::CheckStandard => "check_standard",
        }
    }
}

/// What a control chart is drawn about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum About {
    /// What the item's own drift model predicted, in its standard deviations.
    #[default]
    Drift,
    /// The mean of a base period.
    Constant,
}

impl About {
    /// What a register's `word` names; `None` for another word.
    pub(crate) fn of(word: &str) -> Option<Self> {
        match word.trim().to_lowercase().as_str() {
            "drift" => Some(About::Drift),
            "constant" => Some(About::Constant),
            _ => None,
        }
    }

    /// The word in tables.
    pub(crate) fn word(self) -> &'static str {
        match self {
            About::Drift => "drift",
            About::Constant => "constant",
        }
    }
}
