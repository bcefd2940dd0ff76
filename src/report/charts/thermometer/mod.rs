/*! Charts of a thermometer read at fixed points. */

mod marks;
mod range;
mod year;

pub use range::range_chart;
pub use year::year_chart;
