/*! What could be estimated of one history. */

crate::words::worded! {
    /// What could be estimated for one history.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
    pub enum Status with words {
        /// Level and drift estimated from the history's own readings.
        Estimated = "estimated",
        /// Drift taken wholly or mostly from the class; too few own readings.
        FromClass = "drift borrowed from the class",
        /// Level known, drift not: one reading, or two without u.
        LevelOnly = "no drift: too few readings",
        /// The model asked for was refused: the dates of the checks cannot tell its terms apart.
        Undetermined = "no drift: the dates cannot tell the model's terms",
        /// Only in/out outcomes were kept; no value to fit.
        OutcomesOnly = "outcomes only",
        /// No usable reading.
        #[default]
        NoReading = "no usable reading",
        /// The computation failed (singular, overflow, no convergence); the notes say how.
        Failed = "fit failed",
    }
}
