/*! What screening a history finds. */

use crate::records::Warning;
use crate::records::cells::column::Column;

/// What screening one history found, beside the entries it marked as dropped.
#[derive(Debug, Default)]
pub(crate) struct Findings {
    pub rejects: Vec<ScreenReject>,
    /// Instrument and point of the history, where it has such rows.
    pub names: (String, String),
    pub warnings: Vec<Warning>,
    pub merged: u64,
    /// Rows in another unit of the history's quantity.
    pub conversions: Vec<Conversion>,
    /// Rows as left, each with the row as found that it belongs to.
    pub left: Vec<LeftRow>,
    /// The history's own unit.
    pub unit: String,
}

/// A row that its history cannot take: its unit is another, or it is as left and nothing was found.
#[derive(Debug)]
pub(crate) struct ScreenReject {
    pub batch: u32,
    pub row: u32,
    /// Days since 1970-01-01.
    pub date: f64,
    pub column: Column,
    pub value: String,
    pub reason: String,
}

/// A row whose numbers are 10^`power` times as large in its history's unit.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Conversion {
    pub batch: u32,
    pub row: u32,
    pub power: i32,
}

/// Marks an entry that is no longer part of its history.
pub(crate) const DROPPED: u32 = u32::MAX;

/// A row as found, and the row that says what was left of it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LeftRow {
    pub found: (u32, u32),
    pub left: (u32, u32),
}
