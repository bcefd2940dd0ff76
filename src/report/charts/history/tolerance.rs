/*! Tolerance limits through time, named at the right edge, or at the picture's edge in words. */

use super::layout::Layout;
use crate::report::charts::canvas::{Canvas, Dash, Stroke};
use crate::report::charts::labels::SideLabel;
use crate::report::charts::palette::Ink;
use crate::report::view::HistoryView;

/// Draws the limits that lie inside the picture; returns labels for the limits in force.
pub(super) fn draw_tolerance(
    canvas: &mut Canvas<'_>,
    view: &HistoryView,
    layout: &Layout,
) -> Vec<SideLabel> {
    let stroke = Stroke(Ink::Limit, 1.5, Dash::Long);
    for (i, step) in view.tolerance.iter().enumerate() {
        let start = if i == 0 {
            layout.left
        } else {
            layout.x.held(step.from)
        };
        let next = view.tolerance.get(i + 1);
        let end = next.map_or(layout.right, |next| layout.x.held(next.from));
        for limit in step.lower.into_iter().chain(step.upper) {
            if layout.y.holds(limit) && start < end {
                let y = layout.y.at(limit);
                canvas.line((start, y), (end, y), stroke);
            }
        }
    }
    let (lower, upper) = view.last_tolerance();
    let finite = lower
        .into_iter()
        .chain(upper)
        .filter(|limit| limit.is_finite());
    finite.map(|limit| label(limit, layout)).collect()
}

fn label(limit: f64, layout: &Layout) -> SideLabel {
    let (low, high) = layout.y.domain;
    let (y, arrow) = match limit {
        l if l > high => (layout.top + 4.0, " ↑"),
        l if l < low => (layout.bottom - 4.0, " ↓"),
        l => (layout.y.at(l), ""),
    };
    let text = format!("limit {}{arrow}", layout.axis.words(limit));
    SideLabel::new(y, text, Ink::Limit)
}
