/*! What a check was, what was done to the item at it, and how it came out. */

crate::words::worded! {
    /// What happened to the item at a check.
    #[derive(
        Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize,
    )]
    #[serde(rename_all = "lowercase")]
    pub enum Event with word {
        /// Nothing.
        #[default]
        None = "",
        /// Value adjusted: new level, drift kept.
        Adjusted = "adjusted",
        /// Repaired: new level, new drift.
        Repaired = "repaired",
        /// Annealed: new level, new drift.
        Annealed = "annealed",
        /// Mechanical or thermal shock: new level, new drift.
        Shocked = "shocked",
        /// Replaced by another item: new level, new drift.
        Replaced = "replaced",
    }
}

impl Event {
    /// True where the level starts anew.
    pub(crate) fn restarts_level(self) -> bool {
        self != Event::None
    }

    /// True where the value after the check is not the one found at it. A shock moved the
    /// value before the check that reports it.
    pub(crate) fn moves_value(self) -> bool {
        !matches!(self, Event::None | Event::Shocked)
    }

    /// True where the drift starts anew too.
    pub(crate) fn restarts_drift(self) -> bool {
        !matches!(self, Event::None | Event::Adjusted)
    }
}

crate::words::worded! {
    /// Whether a row is a check or a calibration, where the record says so.
    #[derive(
        Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize,
    )]
    pub enum CheckKind with word {
        /// Not stated.
        #[default]
        Unstated = "",
        /// A check that leaves the item as it was.
        Check = "check",
        /// A calibration: the value may be adjusted or re-assigned.
        Calibration = "calibration",
        /// A comparison with other laboratories, such as a proficiency test.
        Comparison = "comparison",
    }
}

/// In or out of tolerance as found, where the record or the numbers say so.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize,
)]
pub enum Outcome {
    /// Neither stated nor computable.
    #[default]
    Unknown,
    /// In tolerance as found.
    In,
    /// Out of tolerance as found.
    Out,
}
