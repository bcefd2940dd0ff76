/*! Where the parts of the chart of one history sit. */

use super::extent::Extent;
use crate::report::charts::canvas::{Canvas, Stroke};
use crate::report::charts::scale::{Scale, ValueAxis};
use crate::report::view::HistoryView;

/// Width of the chart, and its height without a strip of probabilities, pixels.
pub(super) const WIDTH: f64 = 840.0;
const HEIGHT: f64 = 420.0;

/// Lower edge of the plot of values, pixels.
const BOTTOM: f64 = 332.0;

/// What a history of outcomes alone does not need of that height: it has no values, pixels.
const WITHOUT_VALUES: f64 = 190.0;

/// Room of the strip of probabilities with its heading, pixels.
const STRIP: f64 = 92.0;

/// Room of the strip of residuals with its heading, pixels.
const RESIDUALS: f64 = 78.0;

/// Room of a strip's heading, pixels.
pub(super) const HEADING: f64 = 22.0;

/// True where a probability in tolerance is known anywhere along the curve.
pub(super) fn has_strip(view: &HistoryView) -> bool {
    view.curve.iter().any(|p| p.known_probability().is_some())
}

/// Height of the chart of `view`, pixels.
pub(super) fn height(view: &HistoryView) -> f64 {
    HEIGHT - BOTTOM + bottom(view) + strips(view).iter().sum::<f64>()
}

/// Lower edge of the plot, pixels.
pub(super) fn bottom(view: &HistoryView) -> f64 {
    match has_values(view) {
        true => BOTTOM,
        false => BOTTOM - WITHOUT_VALUES,
    }
}

/// False where only outcomes were kept: there is no value axis then.
pub(super) fn has_values(view: &HistoryView) -> bool {
    let mut readings = view.readings.iter();
    view.readings.is_empty() || readings.any(|r| !r.value.is_nan())
}

/// Room that the strips take below the plot, pixels: of probabilities, of residuals; 0 for one
/// that is not there.
pub(super) fn strips(view: &HistoryView) -> [f64; 2] {
    let residuals = !view.residuals.is_empty();
    [
        if has_strip(view) { STRIP } else { 0.0 },
        if residuals { RESIDUALS } else { 0.0 },
    ]
}

/// Where everything sits, pixels.
pub(super) struct Layout {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    /// Lower edge of the plot of values.
    pub bottom: f64,
    /// Lower edge of the strip of probabilities; of the plot where there is none.
    pub probability_foot: f64,
    /// The axis with its dates: below the strips where there are any.
    pub foot: f64,
    /// Left edge of the labels beside the plot.
    pub side: f64,
    pub x: Scale,
    pub y: Scale,
    pub axis: ValueAxis,
    pub extent: Extent,
}

impl Layout {
    /// A line down through plot and strips; the strips' headings are left free.
    pub(crate) fn down(&self, canvas: &mut Canvas<'_>, x: f64, top: f64, stroke: Stroke) {
        let mut from = top;
        for strip in [self.bottom, self.probability_foot] {
            if from < strip && strip < self.foot {
                canvas.line((x, from), (x, strip), stroke);
                from = strip + HEADING - 2.0;
            }
        }
        canvas.line((x, from), (x, self.foot), stroke);
    }
}
