/*! What is wrong in the file of the thermometers, or in that of the adopted values. */

use super::ThermometryError;
use thiserror::Error;

/// Why the facts of the thermometers cannot be used.
#[derive(Debug, Clone, PartialEq, Error)]
pub(crate) enum FactsError {
    /// The file is no TOML of this form; names the line.
    #[error(transparent)]
    Form(#[from] toml::de::Error),
    /// One thermometer's entry is impossible.
    #[error("{instrument}: {what}")]
    Entry {
        /// The thermometer.
        instrument: String,
        /// What is impossible of it.
        what: FactsProblem,
    },
    /// A row of the file of adopted values is cut short.
    #[error("a row has too few columns")]
    ShortRow,
    /// A cell of the file of adopted values cannot be read.
    #[error("{instrument}, session {session}: {column} cannot be read")]
    Cell {
        /// The thermometer.
        instrument: String,
        session: String,
        /// The cell's column.
        column: &'static str,
    },
}

impl FactsError {
    pub(super) fn of(instrument: &str, what: FactsProblem) -> Self {
        let instrument = instrument.to_string();
        Self::Entry { instrument, what }
    }
}

/// What is impossible of one thermometer.
#[derive(Debug, Clone, PartialEq, Error)]
#[allow(missing_docs)]
pub(crate) enum FactsProblem {
    #[error(
        "triple_point_ohm = {ohm} and u_triple_point_ohm = {u_ohm}; expected a positive and a not negative number"
    )]
    Value { ohm: f64, u_ohm: f64 },
    #[error("{key} = {value}; expected a number above 0")]
    NotPositive { key: &'static str, value: f64 },
    #[error("current_ma; expected a current in mA, 0 for zero power")]
    Current,
    #[error(transparent)]
    Coefficients(#[from] ThermometryError),
    #[error(
        "the value adopted on {then} stands after the one of {first}; list them oldest first, one a day"
    )]
    Order { first: String, then: String },
}
