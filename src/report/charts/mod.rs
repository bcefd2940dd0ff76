/*! Charts: one question each, the answer as the title, plotters' SVG underneath.

Every chart is a pure function from a view to the text of one SVG file; the
same view gives the same bytes on every machine.
*/

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
mod history;
mod intervals;
mod labels;
mod lettering;
mod palette;
mod proportions;
mod rates;
mod reliability;
mod scale;
mod spark;
mod thermometer;
mod tidy;
mod workload;

pub use book::book_chart;
pub use calibration::calibration_chart;
pub use control::control_chart;
pub use cost::cost_chart;
pub use coverage::coverage_chart;
pub use excess::{ExcessRow, excess_chart};
pub use fleet::{actions_chart, due_chart};
pub use history::{Places, history_chart, placed_history_chart};
pub use intervals::intervals_chart;
pub use palette::{INKS, Ink, dark_rules};
pub use proportions::{out_of_tolerance_by_group, out_of_tolerance_chart};
pub use rates::drift_rates_chart;
pub use reliability::reliability_chart;
pub use spark::sparkline;
pub use thermometer::{range_chart, year_chart};
pub use workload::workload_chart;
