/*! Charts: one question each, the answer as the title, plotters' SVG underneath.

Every chart is a pure function from a view to the text of one SVG file; the
same view gives the same bytes on every machine.
*/

mod approved;
mod book;
mod calibration;
mod canvas;
mod control;
mod cost;
mod coverage;
mod dash;
mod dates;
mod excess;
mod fleet;
mod frame;
mod growth;
mod history;
mod labels;
mod lettering;
mod palette;
#[cfg(test)]
mod pictures;
mod rates;
mod reliability;
mod scale;
mod share;
mod spark;
mod thermometer;
mod tidy;
mod values;

pub(crate) use approved::approved_chart;
pub(crate) use book::{Overlay, book_chart, book_order, overlay};
pub(crate) use calibration::calibration_chart;
pub(crate) use control::control_chart;
pub(crate) use cost::cost_chart;
pub(crate) use coverage::coverage_chart;
pub(crate) use excess::{ExcessRow, excess_chart};
pub(crate) use fleet::{
    actions_chart, due_calendar, due_chart, intervals_chart, out_of_tolerance_by_group,
    out_of_tolerance_chart, workload_chart,
};
pub(crate) use growth::growth_chart;
pub use history::history_chart;
pub(crate) use history::{Places, axis_unit, placed_history_chart};
pub(crate) use palette::dark_rules;
pub(crate) use rates::drift_rates_chart;
pub(crate) use reliability::reliability_chart;
pub(crate) use spark::sparkline;
pub(crate) use thermometer::{range_chart, year_chart};
