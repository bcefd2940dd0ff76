/*! What a check was, what was done to the item at it, and how it came out. */

/// What happened to the item at a check.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "lowercase")]
pub enum Event {
    /// Nothing.
    #[default]
    None,
    /// Value adjusted: new level, drift kept.
    Adjusted,
    /// Repaired: new level, new drift.
    Repaired,
    /// Annealed: new level, new drift.
    Annealed,
    /// Mechanical or thermal shock: new level, new drift.
    Shocked,
    /// Replaced by another item: new level, new drift.
    Replaced,
}

impl Event {
    /// The word used in tables; empty for none.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Event::None => "",
            Event::Adjusted => "adjusted",
            Event::Repaired => "repaired",
            Event::Annealed => "annealed",
            Event::Shocked => "shocked",
            Event::Replaced => "replaced",
        }
    }

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

/// Whether a row is a check or a calibration, where the record says so.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize,
)]
pub enum CheckKind {
    /// Not stated.
    #[default]
    Unstated,
    /// A check that leaves the item as it was.
    Check,
    /// A calibration: the value may be adjusted or re-assigned.
    Calibration,
    /// A comparison with other laboratories, such as a proficiency test.
    Comparison,
}

impl CheckKind {
    /// The word used in tables; empty where not stated.
    pub(crate) fn word(self) -> &'static str {
        match self {
            CheckKind::Unstated => "",
            CheckKind::Check => "check",
            CheckKind::Calibration => "calibration",
            CheckKind::Comparison => "comparison",
        }
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
