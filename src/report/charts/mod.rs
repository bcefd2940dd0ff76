/*! Charts: one question each, the answer as the title, plotters' SVG underneath.

Every chart is a pure function from a view to the text of one SVG file; the
same view gives the same bytes on every machine.
*/

mod canvas;
mod extent;
#[cfg(test)]
mod gallery;
mod history;
mod labels;
mod lettering;
mod palette;
mod scale;
mod tidy;
mod under_axis;

pub use history::history_chart;
pub use palette::{INKS, Ink, dark_rules};
