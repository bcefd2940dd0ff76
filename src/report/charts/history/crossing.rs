/*! When the tolerance was left, as a bar over the window that holds the day with 95 %. */

use super::layout::Layout;
use crate::report::charts::canvas::{Canvas, Dash, Stroke};
use crate::report::charts::palette::Ink;
use crate::report::text::iso_date;
use crate::report::view::HistoryView;

/// Draws every window at the foot of the plot, whose last day the second line says.
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
}

/// "red bar: tolerance left 2023-08-21 (95 %: 2023-04-26 to 2023-12-15)", of the last one; nothing where none is drawn.
pub(super) fn crossing_words(view: &HistoryView) -> String {
    match (view.left_tolerance.last(), &view.usage_unit) {
        (Some((from, at, to)), None) => format!(
            "red bar: tolerance left {} (95\u{a0}%: {} to {})",
            iso_date(*at),
            iso_date(*from),
            iso_date(*to)
        ),
        _ => String::new(),
    }
}
