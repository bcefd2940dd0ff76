/*! The words that settings of the records may have. */

use crate::records::DAYS_PER_YEAR;
use serde::{Deserialize, Serialize};

crate::words::worded! {
    /// What separates the fields of a CSV file.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
    pub enum Delimiter with word {
        /// Whichever of the three splits the file into regular columns.
        #[default]
        #[serde(rename = "auto")]
        Auto = "auto",
        /// Comma.
        #[serde(rename = ",")]
        Comma = ",",
        /// Semicolon.
        #[serde(rename = ";")]
        Semicolon = ";",
        /// Tabulator.
        #[serde(rename = "tab", alias = "\t")]
        Tab = "tab",
        /// Vertical bar.
        #[serde(rename = "|")]
        Bar = "|",
    }
}

impl Delimiter {
    /// The byte; `None` for auto.
    pub(crate) fn byte(self) -> Option<u8> {
        match self {
            Delimiter::Auto => None,
            Delimiter::Comma => Some(b','),
            Delimiter::Semicolon => Some(b';'),
            Delimiter::Tab => Some(b'\t'),
            Delimiter::Bar => Some(b'|'),
        }
    }
}

/// What an event in a row is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum EventsOf {
    /// The point of its row.
    #[default]
    Point,
    /// The whole instrument.
    Instrument,
}

/// What to do with several readings of one history on one day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Repeats {
    /// Every reading counts.
    #[default]
    Keep,
    /// One mean a day, u = √(Σu²)/n.
    Average,
    /// The first reading counts, later ones are rejected.
    Reject,
}

/// Mark that groups the digits of large numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Thousands {
    /// As the cells of the file show it.
    #[default]
    #[serde(rename = "auto")]
    Auto,
    /// None.
    #[serde(rename = "none")]
    None,
    /// Point, beside a decimal comma.
    #[serde(rename = ".")]
    Point,
    /// Comma, beside a decimal point.
    #[serde(rename = ",")]
    Comma,
}

/// What `as_found` holds beside a nominal value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum AsFoundIs {
    /// By numbers and header; refused where both readings fit.
    #[default]
    Auto,
    /// A value, from which the nominal value is subtracted.
    Value,
    /// An error already.
    Error,
    /// A correction: minus the error.
    Correction,
}

/// What `lower` and `upper` are limits of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LimitsAre {
    /// Of the error; refused where they hold the nominal value and not 0.
    #[default]
    Auto,
    /// Of the error.
    Error,
    /// Of the value: the nominal value is subtracted.
    Value,
}

/// What rows are that have a date and a value, and the name of a sum or a mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum SumsAre {
    /// Not stated: the file is refused.
    #[default]
    Auto,
    /// No checks: they are set aside.
    Aside,
    /// Checks like others.
    Records,
}

/// What a cell of as_found with two numbers holds, such as `5.2 / 0.3`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Pairs {
    /// As the header says; rejected where it says nothing.
    #[default]
    Auto,
    /// What was found, and what was left.
    FoundLeft,
    /// What was found, and its uncertainty.
    FoundU,
}

/// What an own word for an outcome means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum StatedOutcome {
    /// In tolerance as found.
    Pass,
    /// Out of tolerance as found.
    Fail,
    /// Neither.
    Unknown,
}

/// Where the names of the instruments stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum InstrumentFrom {
    /// In the column instrument.
    #[default]
    Column,
    /// Each file has the name of its instrument.
    File,
    /// Each sheet of a workbook has it.
    Sheet,
    /// A cell above the table, with a label.
    Cell,
}

crate::words::worded! {
    /// Unit of a length of time.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
    #[serde(rename_all = "lowercase")]
    pub enum TimeUnit with word {
        /// Days.
        #[default]
        Days = "days",
        /// Weeks.
        Weeks = "weeks",
        /// Twelfths of a year.
        Months = "months",
        /// Years of 365.25 days.
        Years = "years",
    }
}

impl TimeUnit {
    /// All of them, the shortest first.
    pub(crate) const ALL: [Self; 4] = [Self::Days, Self::Weeks, Self::Months, Self::Years];

    /// A length in this unit as days; whole ones where it is stated in a longer unit.
    pub(crate) fn days(self, length: f64) -> f64 {
        match self {
            Self::Days => length,
            Self::Weeks => (length * 7.0).round().max(1.0),
            Self::Months => (length * DAYS_PER_YEAR / 12.0).round().max(1.0),
            Self::Years => (length * DAYS_PER_YEAR).round().max(1.0),
        }
    }
}

/// What brackets around a number are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Brackets {
    /// Not stated: such a row is rejected.
    #[default]
    Auto,
    /// A minus, as in accounts.
    Negative,
    /// No sign of the number.
    Plain,
}

/// What becomes of the mark of a footnote beside a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum FootnoteMarks {
    /// Not stated: such a row is rejected.
    #[default]
    Auto,
    /// The number counts as it stands.
    Ignored,
}

/// What a per cent of a tolerance is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum PerCentOf {
    /// As its cell says; rejected where it says nothing.
    #[default]
    Auto,
    /// The nominal value.
    Reading,
    /// The range.
    Range,
}
