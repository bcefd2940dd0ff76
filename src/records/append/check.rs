/*! A check to append to a person's file, and why nothing was appended. */

use crate::records::date::NoDate;
use crate::records::reading::csv::records::OpenQuote;
use crate::records::{CheckKind, Event};
use crate::words::history_name;

/// A check to append; values not stated are NaN, texts empty.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NewCheck {
    pub instrument: String,
    pub point: String,
    /// Days since 1970-01-01, with the time of day as fraction.
    pub date: f64,
    /// Value as found: the error, or the value where `nominal` is stated.
    pub as_found: f64,
    /// Value as left.
    pub as_left: f64,
    /// Nominal value; NaN where none.
    pub nominal: f64,
    /// Standard uncertainty, random part.
    pub u: f64,
    /// Shared standard uncertainty.
    pub u_common: f64,
    /// Cumulative use.
    pub usage: f64,
    pub event: Event,
    pub kind: CheckKind,
    pub unit: String,
}

/// Why nothing was appended; the file is untouched.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(crate) enum AppendError {
    /// The check is there already.
    #[error(
        "{file}: {} of {date} is recorded already (row {row}); nothing was added, state the time where it is another reading",
        history_name(.instrument, .point)
    )]
    Duplicate {
        file: String,
        instrument: String,
        point: String,
        /// Date as written.
        date: String,
        /// Row number, as a spreadsheet shows it.
        row: usize,
    },
    /// The file cannot be written.
    #[error("{file}: {what}; nothing was added")]
    Unusable {
        file: String,
        /// What is wrong and the mend.
        what: String,
    },
    /// The file is of another shape than one row a check, or would be read otherwise.
    #[error("{file}: {what}; nothing was added")]
    Shape {
        file: String,
        /// What is wrong and the mend.
        what: String,
    },
}

impl AppendError {
    pub(crate) fn unusable(file: &str, what: impl std::fmt::Display) -> Self {
        Self::Unusable {
            file: file.to_string(),
            what: what.to_string(),
        }
    }

    pub(super) fn shape(file: &str, what: impl std::fmt::Display) -> Self {
        Self::Shape {
            file: file.to_string(),
            what: what.to_string(),
        }
    }
}

/// Why a text cannot be added to a file.
#[derive(Debug, thiserror::Error)]
pub(crate) enum NoPlace {
    #[error("a UTF-16 file cannot be appended to; save it as UTF-8")]
    Utf16,
    #[error("{0} does not exist in {1}")]
    Letter(char, String),
    /// What the reader of records says of it.
    #[error("{0}")]
    Unreadable(String),
    #[error(transparent)]
    OpenQuote(#[from] OpenQuote),
    #[error(
        "no column {0}; is this the records file, and are its headers named under [checks.columns]?"
    )]
    NoColumn(&'static str),
    #[error(
        "its instrument or its day stands in a cell above the table (instrument_from = \"cell\", date_cell): write the row into it by hand, or record to a file with a column of instruments in a [[checks.other]] of its own"
    )]
    NamedAbove,
    #[error(
        "it holds the checks of {own}, whose name it has (instrument_from = \"file\"), and the check is one of {stated}: record to the file of that name"
    )]
    OtherInstrument { own: String, stated: String },
    #[error("the check states {0} but the file has no such column; add the column or leave it out")]
    ColumnOfCheck(&'static str),
    #[error(
        "row {row} states {name} ({cell}), for which the file has no column; add the column or leave it out"
    )]
    ColumnOfRow {
        row: u32,
        name: String,
        cell: String,
    },
    #[error("its column {column} is in {own}, the check in {stated}")]
    Unit {
        column: &'static str,
        own: String,
        stated: String,
    },
    #[error(transparent)]
    Date(#[from] NoDate),
    #[error(transparent)]
    Line(#[from] csv::Error),
}

/// Same minute; a date without a time stands for any time of its day.
pub(super) fn same_time(a: f64, b: f64) -> bool {
    let whole = |days: f64| days == days.floor();
    let same_day = a.floor() == b.floor();
    (a - b).abs() < 0.5 / 1440.0 || (same_day && (whole(a) || whole(b)))
}
