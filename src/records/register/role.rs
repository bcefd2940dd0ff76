/*! What an item serves for, and what its control chart is drawn about, as the register words it. */

use serde::{Deserialize, Serialize};

crate::words::worded! {
    /// What an item serves for.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum Role with word {
        /// Not stated.
        #[default]
        Unstated = "",
        /// A reference: others are compared with it.
        Reference = "reference",
        /// A working item: its control tells of itself alone.
        Working = "working",
        /// A check standard: measured beside others, it tells whether the process is in control.
        CheckStandard = "check_standard",
    }
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
}

crate::words::worded! {
    /// What a control chart is drawn about.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum About with word {
        /// What the item's own drift model predicted, in its standard deviations.
        #[default]
        Drift = "drift",
        /// The mean of a base period.
        Constant = "constant",
    }
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
}
