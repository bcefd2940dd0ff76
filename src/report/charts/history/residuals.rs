/*! The strip of one-step residuals: each reading off what the readings before it led to expect, in
standard deviations, on the axis of the plot above. */

use super::layout::{HEADING, Layout};
use crate::report::charts::canvas::{Anchor, Canvas, Dash, Pixel, Stroke};
use crate::report::charts::palette::Ink;
use crate::report::charts::scale::Scale;
use crate::report::text::{fixed, significant};
use crate::report::view::HistoryView;

/// Deviations at the edges of the strip; what lies beyond stands at the edge as an arrow.
const EDGE: f64 = 4.0;

/// Deviations that are marked: about one reading in twenty lies beyond.
const MARKED: f64 = 2.0;

/// Share of standard normal values beyond [`MARKED`]: 2 (1 − Φ(2)).
const SHARE_BEYOND: f64 = 0.045_500_263_896_358_4;

/// More residuals than this are drawn as columns from the lowest to the highest.
const MANY: usize = 400;

/// Width of a column, pixels.
const COLUMN: f64 = 2.0;

/// Draws the strip above the axis.
pub(super) fn draw_residuals(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) {
    let (top, foot) = (layout.probability_foot, layout.foot);
    let y = Scale::new((-EDGE, EDGE), (foot, top + HEADING));
    canvas.label(
        &heading(view),
        (layout.left, top + HEADING - 6.0),
        Ink::Text,
        Anchor::Start,
    );
    for (at, dash) in [
        (-MARKED, Dash::Short),
        (0.0, Dash::Solid),
        (MARKED, Dash::Short),
    ] {
        let line = y.at(at);
        let ends = ((layout.left, line), (layout.right, line));
        canvas.line(ends.0, ends.1, Stroke(Ink::Grid, 0.75, dash));
        let sign = if at > 0.0 { "+" } else { "" };
        let tick = format!("{sign}{}", fixed(at, 0));
        let place = (layout.left - 7.0, line + 4.0);
        canvas.label(&tick, place, Ink::Text, Anchor::End);
    }
    draw_marks(canvas, view, layout, &y);
}

/// Dots, or columns of many; beyond the edge an arrow each.
fn draw_marks(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout, y: &Scale) {
    let shown = view
        .residuals
        .iter()
        .filter(|(place, z)| layout.x.holds(*place) && !z.is_nan());
    let pixels: Vec<Pixel> = shown
        .map(|(place, z)| (layout.x.at(*place), y.held(*z)))
        .collect();
    let edges = [y.at(EDGE), y.at(-EDGE)];
    let at_edge = |p: &&Pixel| edges.contains(&p.1);
    let column = |p: &Pixel| (p.0 / COLUMN).floor();
    if pixels.len() > MANY {
        for run in pixels.chunk_by(|a, b| column(a) == column(b)) {
            let high = run.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
            let low = run.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
            let left = COLUMN * column(&run[0]);
            let corners = ((left, high - 0.75), (left + COLUMN, low + 0.75));
            canvas.rectangle(corners.0, corners.1, Ink::Reading, 0.6);
        }
    } else {
        for pixel in pixels.iter().filter(|p| !at_edge(p)) {
            canvas.dot(*pixel, 2.25, Ink::Reading);
        }
    }
    let mut last = [f64::NEG_INFINITY; 2];
    for pixel in pixels.iter().filter(at_edge) {
        let up = pixel.1 == edges[0];
        // Arrows on one pixel are one arrow.
        if pixel.0 - last[usize::from(up)] >= 1.0 {
            canvas.triangle(*pixel, 4.0, Ink::Text, up);
            last[usize::from(up)] = pixel.0;
        }
    }
}

/// What the strip shows and how it stands to what is expected of a model that holds.
fn heading(view: &HistoryView) -> String {
    let number = view.residuals.len();
    let beyond = view.residuals.iter().filter(|r| r.1.abs() > MARKED);
    let far = view.residuals.iter().any(|r| r.1.abs() > EDGE);
    let arrows = if far { "; arrows: beyond ±4" } else { "" };
    format!(
        "off the forecast made before, in standard deviations: {} of {number} beyond ±2 ({} expected){arrows}",
        beyond.count(),
        significant(SHARE_BEYOND * number as f64, 2)
    )
}

#[cfg(test)]
mod tests {
    use crate::report::charts::history_chart;
    use crate::report::samples;

    #[test]
    fn the_strip_counts_what_lies_beyond_two_deviations() {
        let mut view = samples::history(40);
        view.residuals[3].1 = 9.0;
        view.residuals[5].1 = -2.5;
        let drawn = history_chart(&view);
        says!(drawn, "2 of 39 beyond ±2 (1.8 expected); arrows: beyond ±4");
        view.residuals.clear();
        says_not!(history_chart(&view), "off the forecast");
    }
}
