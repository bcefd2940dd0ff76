/*! What is wrong with an entry of any book, and the days that entries state. */

use crate::records::date;

/// Why an entry of any book does not count.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub(crate) enum NoEntry {
    /// It has not so many values.
    #[error("expected {0} values")]
    Values(usize),
    /// A value is no date.
    #[error("{name} \"{text}\" is not a date: expected YYYY-MM-DD")]
    NoDate {
        /// The column.
        name: &'static str,
        /// What stands there.
        text: String,
    },
    /// It is of a day to come.
    #[error("{name} {} lies after the as-of date {}", date::iso(*day), date::iso(*as_of))]
    Later {
        /// The column.
        name: &'static str,
        /// Its day, days since 1970-01-01.
        day: f64,
        /// The last day that counts.
        as_of: f64,
    },
}

/// The day that the value of the column `name` states, days since 1970-01-01.
///
/// # Errors
/// A text that is no date.
pub(crate) fn day(name: &'static str, text: &str) -> Result<f64, NoEntry> {
    let read = date::parse_iso(text.as_bytes()).map(f64::floor);
    read.ok_or_else(|| NoEntry::NoDate {
        name,
        text: text.to_string(),
    })
}
