/*! Dates and decimals as the demo writes them. */

use chrono::{DateTime, Utc};

/// ISO date of a day since 1970-01-01.
pub(super) fn iso(day: f64) -> String {
    DateTime::<Utc>::from_timestamp(day as i64 * 86_400, 0)
        .map(|moment| moment.format("%Y-%m-%d").to_string())
        .unwrap_or_default()
}

/// Fixed decimals, and no minus sign on a zero.
pub(super) fn decimal(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let zero = text.bytes().all(|byte| matches!(byte, b'-' | b'0' | b'.'));
    if zero { text.replace('-', "") } else { text }
}
