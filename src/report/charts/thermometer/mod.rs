/*! Charts of a thermometer read at fixed points. */

mod marks;
mod range;
mod year;

pub(crate) use range::range_chart;
pub(crate) use year::year_chart;
