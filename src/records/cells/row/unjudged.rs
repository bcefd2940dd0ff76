/*! What waits for the tolerance of its item. */

/// An error without limits of its own in a row that cannot be used: the tolerance of its item may say that it is a failure.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Unjudged {
    pub instrument: String,
    pub point: String,
    /// Days since 1970-01-01; `None` where it cannot be read.
    pub date: Option<f64>,
    pub error: f64,
    /// Its unit; empty where not known.
    pub unit: String,
}
