/*! A second value axis at the right of a history's chart: the same errors in another unit. */

use super::layout::Layout;
use crate::report::charts::canvas::{Anchor, Canvas, Dash, LABEL_SIZE, Stroke};
use crate::report::charts::lettering::text_width;
use crate::report::charts::palette::Ink;
use crate::report::charts::scale::{ValueAxis, value_axis};
use crate::report::view::HistoryView;

/// Ticks of the axis at the most.
const MOST_TICKS: usize = 7;

/// Length of a tick and the gap to its label, pixels.
const TICK: (f64, f64) = (4.0, 3.0);

/// Ticks at places of the first axis, with labels in the other unit.
pub(super) struct OtherTicks {
    axis: ValueAxis,
    factor: f64,
}

/// The second axis beside a first one over `domain`; `None` where the view has no other unit.
pub(super) fn other_axis(view: &HistoryView, domain: (f64, f64)) -> Option<OtherTicks> {
    let other = view.other_axis.as_ref()?;
    let (low, high) = (domain.0 * other.factor, domain.1 * other.factor);
    let usable = other.factor > 0.0 && low < high && (high - low).is_finite();
    usable.then(|| OtherTicks {
        axis: value_axis(low, high, &other.unit, MOST_TICKS),
        factor: other.factor,
    })
}

impl OtherTicks {
    /// Width that ticks, labels and caption take, pixels.
    pub(super) fn room(&self) -> f64 {
        let labels = self.axis.ticks.iter().map(|tick| tick.label.as_str());
        let texts = labels.chain([self.axis.caption.as_str()]);
        let widest = texts.map(|text| text_width(text, LABEL_SIZE));
        widest.fold(0.0, f64::max).ceil() + TICK.0 + TICK.1
    }
}

/// Draws the axis at the right edge of the plot; the grid stays the first axis's.
pub(super) fn draw_other_axis(canvas: &mut Canvas<'_>, other: &OtherTicks, layout: &Layout) {
    let (right, stroke) = (layout.right, Stroke(Ink::Grid, 1.0, Dash::Solid));
    canvas.line((right, layout.top), (right, layout.bottom), stroke);
    let label = right + TICK.0 + TICK.1;
    for tick in &other.axis.ticks {
        let y = layout.y.at(tick.at / other.factor);
        canvas.line((right, y), (right + TICK.0, y), stroke);
        canvas.label(&tick.label, (label, y + 4.0), Ink::Grid, Anchor::Start);
    }
    canvas.label(
        &other.axis.caption,
        (label, layout.top - 6.0),
        Ink::Grid,
        Anchor::Start,
    );
}
