/*! What a row that cannot be used says of its item. */

/// A check that cannot be used: whose it is, and when.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Unused {
    pub instrument: String,
    pub point: String,
    /// Days since 1970-01-01; `None` where it cannot be read.
    pub date: Option<f64>,
    /// Its error where the row states not both limits, so that the tolerance of its item must judge it; else NaN.
    pub error: f64,
    /// The unit of the error; empty where not known.
    pub unit: String,
    /// False where nothing stands in the place of what was found.
    pub has_value: bool,
}
