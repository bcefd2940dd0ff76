/*! The fit with its two bands: a filled one for the true error, an outlined one for readings. */

use super::layout::Layout;
use crate::report::charts::canvas::{Canvas, Dash, Pixel, Stroke};
use crate::report::charts::labels::{SideLabel, draw_side_labels};
use crate::report::charts::palette::Ink;
use crate::report::charts::scale::Scale;
use crate::report::text::percent;
use crate::report::view::{CurvePoint, HistoryView};

/// Room that labels at the end of a curve need inside the plot, pixels.
const LABEL_ROOM: f64 = 150.0;

/// Pixels by which a segment must reach beyond the one before it to be seen.
const LEAST_WIDTH: f64 = 0.25;

/// Draws bands and fit segment by segment; returns labels for the right edge, unless the
/// curve ends well before it: then they stand at its end.
pub(super) fn draw_curve(
    canvas: &mut Canvas<'_>,
    view: &HistoryView,
    layout: &Layout,
) -> Vec<SideLabel> {
    let inside = |p: &&CurvePoint| layout.x.holds(p.day) && p.expected.is_finite();
    let points: Vec<CurvePoint> = view.curve.iter().filter(inside).copied().collect();
    let mut drawn = f64::NEG_INFINITY;
    for segment in points.chunk_by(|a, b| a.segment == b.segment) {
        let end = segment.last().map_or(drawn, |last| layout.x.at(last.day));
        // What ends on the same pixel as the segment before it would only lie over it.
        if end - drawn >= LEAST_WIDTH {
            draw_segment(canvas, view, layout, segment);
            drawn = end;
        }
    }
    let Some(last) = points.last() else {
        return Vec::new();
    };
    let labels = labels(view, last, &layout.y);
    let end = layout.x.at(last.day);
    if end + LABEL_ROOM < layout.right {
        draw_side_labels(canvas, labels, end, layout.top + 4.0, layout.bottom - 4.0);
        return Vec::new();
    }
    labels
}

fn draw_segment(
    canvas: &mut Canvas<'_>,
    view: &HistoryView,
    layout: &Layout,
    segment: &[CurvePoint],
) {
    let fit = Stroke(
        Ink::Text,
        1.75,
        if view.drift_from_class {
            Dash::Short
        } else {
            Dash::Solid
        },
    );
    let outline = Stroke(Ink::Reading, 1.25, Dash::Dots);
    let edge = |value: fn(&CurvePoint) -> f64| -> Vec<Pixel> {
        let known = segment.iter().filter(|p| !value(p).is_nan());
        known.map(|p| (layout.x.at(p.day), value(p))).collect()
    };
    let held = |edge: Vec<Pixel>| edge.into_iter().map(|(x, v)| (x, layout.y.held(v)));
    let mut band: Vec<Pixel> = held(edge(|p| p.confidence.0)).collect();
    band.extend(held(edge(|p| p.confidence.1)).rev());
    canvas.polygon(&band, Ink::Reading, 0.14);
    let lines = [
        (edge(|p| p.prediction.0), outline),
        (edge(|p| p.prediction.1), outline),
        (edge(|p| p.expected), fit),
    ];
    for (values, stroke) in lines {
        for run in clipped(&values, &layout.y) {
            canvas.path(&run, stroke);
        }
    }
}

/// Names of the three lines at the last point, where they are inside the picture.
fn labels(view: &HistoryView, last: &CurvePoint, y: &Scale) -> Vec<SideLabel> {
    let level = percent(view.level);
    let shown = |(low, high): (f64, f64)| if y.holds(high) { high } else { low };
    let named = [
        (last.expected, "expected".to_string(), Ink::Text),
        (
            shown(last.prediction),
            format!("next reading, {level}"),
            Ink::Reading,
        ),
        (
            shown(last.confidence),
            format!("true error, {level}"),
            Ink::Reading,
        ),
    ];
    let inside = named.into_iter().filter(|(value, ..)| y.holds(*value));
    inside
        .map(|(value, text, ink)| SideLabel::new(y.at(value), text, ink))
        .collect()
}

/// Runs of a curve that lie inside the scale, cut at its edges, as pixels.
/// Points are (pixel, value).
fn clipped(points: &[Pixel], y: &Scale) -> Vec<Vec<Pixel>> {
    let mut runs: Vec<Vec<Pixel>> = Vec::new();
    let mut run: Vec<Pixel> = Vec::new();
    for pair in points.windows(2) {
        let Some((from, to)) = cut(pair[0], pair[1], y) else {
            continue;
        };
        let (from, to) = ((from.0, y.at(from.1)), (to.0, y.at(to.1)));
        if run.last() != Some(&from) {
            runs.push(std::mem::replace(&mut run, vec![from]));
        }
        run.push(to);
    }
    runs.push(run);
    runs
}

/// The part of one stroke inside the scale's domain.
fn cut(from: Pixel, to: Pixel, y: &Scale) -> Option<(Pixel, Pixel)> {
    let (low, high) = y.domain;
    if from.1.max(to.1) < low || from.1.min(to.1) > high {
        return None;
    }
    let at = |value: f64| {
        let held = value.clamp(low, high);
        let share = if to.1 == from.1 {
            0.0
        } else {
            (held - from.1) / (to.1 - from.1)
        };
        (from.0 + share * (to.0 - from.0), held)
    };
    let start = if y.holds(from.1) { from } else { at(from.1) };
    let end = if y.holds(to.1) { to } else { at(to.1) };
    let finite = [start.0, end.0].iter().all(|x| x.is_finite());
    finite.then_some((start, end))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_is_cut_where_it_leaves_the_picture() {
        let y = Scale::new((0.0, 10.0), (100.0, 0.0));
        let runs = clipped(
            &[
                (0.0, -10.0),
                (10.0, 10.0),
                (20.0, 30.0),
                (30.0, 10.0),
                (40.0, 0.0),
            ],
            &y,
        );
        let runs: Vec<_> = runs.into_iter().filter(|run| run.len() > 1).collect();
        assert_eq!(runs[0], [(5.0, 100.0), (10.0, 0.0), (10.0, 0.0)]);
        assert_eq!(runs[1], [(30.0, 0.0), (30.0, 0.0), (40.0, 100.0)]);
    }
}
