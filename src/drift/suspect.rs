/*! A reading that lies far off the others: named and kept. */

use super::diagnostics::outliers::Outlier;
use super::figures::figure;
use super::series::readings::Reading;
use crate::records::{History, date};
use crate::stats::p_value;

/// A reading that lies far off the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suspect {
    /// Row of the history.
    pub row: u32,
    /// True for the as-left reading of that row.
    pub as_left: bool,
    /// The reading, unit of the history.
    pub value: f64,
    /// Its distance from what the others lead to expect, unit of the history.
    pub residual: f64,
    /// That distance over its standard deviation without the reading itself.
    pub deleted: f64,
    /// Probability that the most extreme of all readings is this far off by chance.
    pub p: f64,
    /// True for the last reading, of which nobody can tell yet whether it is a step.
    pub last: bool,
}

impl Suspect {
    /// A reading that the screen of deleted residuals flags.
    pub(crate) fn of(outlier: &Outlier, readings: &[Reading]) -> Option<Self> {
        let reading = readings.get(outlier.index)?;
        Some(Self {
            row: reading.check,
            as_left: reading.as_left,
            value: reading.value,
            residual: outlier.residual,
            deleted: outlier.deleted,
            p: outlier.p,
            last: outlier.index + 1 == readings.len(),
        })
    }

    /// The finding as a sentence; `readings` is the number screened.
    pub(crate) fn sentence(&self, history: &History<'_>, readings: usize) -> String {
        let unit = &history.item.unit;
        let space = if unit.is_empty() { "" } else { " " };
        let tail = if self.last {
            "it is kept, and one more check will tell an outlier from a step"
        } else {
            "it is kept"
        };
        let times = match self.deleted.is_finite() {
            true => format!("{} times", figure(self.deleted.abs())),
            false => "where the others lie on it exactly: far more than".into(),
        };
        format!(
            "the reading of {} lies {}{space}{unit} off the fit, {times} what the others lead to expect \
             ({}, allowing for {readings} readings); {tail}",
            date::iso(history.date[self.row as usize]),
            figure(self.residual),
            p_value(self.p),
        )
    }
}
