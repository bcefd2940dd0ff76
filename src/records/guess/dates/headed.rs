/*! A column of dates as a first look sees it, and what tells how they count. */

use crate::records::date::serial::System;
use crate::records::guess::sample::Sample;

/// What tells a spreadsheet's numbers of days from other numbers.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Clock {
    /// Where the workbook says that its days are counted from; `None` for other files.
    pub system: Option<System>,
    /// The day of the first look, days since 1970-01-01: no check is later.
    pub today: f64,
}

/// A column as its dates are looked at.
pub(crate) struct Headed<'v> {
    pub header: &'v str,
    /// The cells that are not blank.
    pub values: Vec<&'v str>,
    /// The latest day that a date of it may have, days since 1970-01-01.
    pub latest: f64,
}

impl<'v> Headed<'v> {
    /// The column of a sample, none of whose dates lies in the future.
    pub(crate) fn past(sample: &'v Sample, clock: Clock) -> Self {
        Headed {
            latest: clock.today,
            ..Headed::ahead(sample)
        }
    }

    /// The column of a sample, whose dates may lie in the future.
    pub(crate) fn ahead(sample: &'v Sample) -> Self {
        Headed {
            header: &sample.header,
            values: sample.values().collect(),
            latest: f64::INFINITY,
        }
    }
}
