/*! Both axes of a history's chart: few ticks, dates or usage, broken edges. */

use super::layout::{Layout, has_values};
use crate::report::charts::canvas::{Anchor, Canvas, Dash, Pixel, Stroke};
use crate::report::charts::dates::date_ticks;
use crate::report::charts::palette::Ink;
use crate::report::charts::scale::value_axis;
use crate::report::view::HistoryView;

/// Draws ticks, labels, the grid and the marks of broken edges.
pub(super) fn draw_axes(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) {
    let (left, right, foot) = (layout.left, layout.right, layout.foot);
    if has_values(view) {
        draw_value_axis(canvas, layout);
    }
    let ticks = match &view.usage_unit {
        None => date_ticks(layout.extent.x.0, layout.extent.x.1, right - left),
        Some(unit) => {
            let usage = value_axis(layout.extent.x.0, layout.extent.x.1, unit, 7);
            let caption = match usage.caption.as_str() {
                "" | "usage" => "usage".to_string(),
                unit => format!("usage, {unit}"),
            };
            canvas.label(
                &caption,
                (right + 10.0, foot + 17.0),
                Ink::Text,
                Anchor::Start,
            );
            usage.ticks
        }
    };
    let axis = Stroke(Ink::Grid, 1.0, Dash::Solid);
    canvas.line((left, foot), (right, foot), axis);
    for tick in &ticks {
        let x = layout.x.at(tick.at);
        canvas.line((x, foot), (x, foot + 4.0), axis);
        canvas.label(&tick.label, (x, foot + 17.0), Ink::Text, Anchor::Middle);
    }
    let edges = [
        (layout.extent.broken_above, layout.y.range.1),
        (layout.extent.broken_below, layout.y.range.0),
    ];
    for (_, edge) in edges.into_iter().filter(|(broken, _)| *broken) {
        canvas.path(&zigzag(left, right, edge), axis);
    }
}

/// Ticks and labels of the values, with the grid.
fn draw_value_axis(canvas: &mut Canvas<'_>, layout: &Layout) {
    let (left, right) = (layout.left, layout.right);
    for tick in &layout.axis.ticks {
        let y = layout.y.at(tick.at);
        let stroke = Stroke(Ink::Grid, 0.5, Dash::Solid);
        canvas.line((left - 4.0, y), (left, y), stroke);
        canvas.rectangle((left, y - 0.25), (right, y + 0.25), Ink::Grid, 0.25);
        let label = (left - 7.0, y + 4.0);
        canvas.label(&tick.label, label, Ink::Text, Anchor::End);
    }
    let caption = (14.0, layout.top - 6.0);
    let text = &layout.axis.caption;
    canvas.label(text, caption, Ink::Text, Anchor::Start);
}

/// The mark of a broken edge.
fn zigzag(left: f64, right: f64, y: f64) -> Vec<Pixel> {
    let teeth = ((right - left) / 12.0) as usize;
    let tooth = |i: usize| {
        let x = left + (right - left) * i as f64 / teeth as f64;
        (
            x,
            if i.is_multiple_of(2) {
                y - 2.5
            } else {
                y + 2.5
            },
        )
    };
    (0..=teeth).map(tooth).collect()
}
