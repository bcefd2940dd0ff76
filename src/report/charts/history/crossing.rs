/*! When the tolerance was left, as a bar over the window that holds the day with 95 %. */

use super::layout::Layout;
use crate::report::charts::canvas::{Anchor, Canvas, Dash, Stroke};
use crate::report::charts::labels::LABEL_SIZE;
use crate::report::charts::lettering::text_width;
use crate::report::charts::palette::Ink;
use crate::report::text::iso_date;
use crate::report::view::HistoryView;

/// Draws every window at the foot of the plot, and says the day of the last one.
pub(super) fn draw_crossings(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) {
    if view.usage_unit.is_some() {
        return;
    }
    let y = layout.bottom - 26.0;
    let stroke = Stroke(Ink::Alarm, 1.75, Dash::Solid);
    for (from, at, to) in &view.left_tolerance {
        let [from, at, to] = [*from, *at, *to].map(|day| layout.x.held(day));
        canvas.line((from, y), (to, y), stroke);
        for end in [from, to] {
            canvas.line((end, y - 4.0), (end, y + 4.0), stroke);
        }
        canvas.diamond((at, y), 4.0, Ink::Alarm);
    }
    let Some((from, at, to)) = view.left_tolerance.last() else {
        return;
    };
    let text = format!(
        "left tolerance {}, 95\u{a0}% {} to {}",
        iso_date(*at),
        iso_date(*from),
        iso_date(*to)
    );
    let (start, end) = (layout.x.held(*from), layout.x.held(*to));
    let width = text_width(&text, LABEL_SIZE);
    let (x, baseline, anchor) = if start - 8.0 - width > layout.left + 24.0 {
        (start - 8.0, y + 4.0, Anchor::End)
    } else if end + 32.0 + width < layout.right {
        (end + 8.0, y + 4.0, Anchor::Start)
    } else {
        (layout.left + 4.0, y - 8.0, Anchor::Start)
    };
    canvas.text(&text, (x, baseline), LABEL_SIZE, Ink::Alarm, anchor);
}
