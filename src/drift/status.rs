/*! What could be estimated of one history. */

/// What could be estimated for one history.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Status {
    /// Level and drift estimated from the history's own readings.
    Estimated,
    /// Drift taken wholly or mostly from the class; too few own readings.
    FromClass,
    /// Level known, drift not: one reading, or two without u.
    LevelOnly,
    /// The model asked for was refused: the dates of the checks cannot tell its terms apart.
    Undetermined,
    /// Only in/out outcomes were kept; no value to fit.
    OutcomesOnly,
    /// No usable reading.
    #[default]
    NoReading,
    /// The computation failed (singular, overflow, no convergence); the notes say how.
    Failed,
}

impl Status {
    /// The words written to `decisions.csv`.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Status::Estimated => "estimated",
            Status::FromClass => "drift borrowed from the class",
            Status::LevelOnly => "no drift: too few readings",
            Status::Undetermined => "no drift: the dates cannot tell the model's terms",
            Status::OutcomesOnly => "outcomes only",
            Status::NoReading => "no usable reading",
            Status::Failed => "fit failed",
        }
    }
}
