/*! The readings of a history: dots with bars of ± U, as-left rings, triangles, outliers' rings. */

use super::dense::{draw_columns, is_dense};
use super::extent::BAR_COVERAGE;
use super::layout::{Layout, has_values};
use crate::report::charts::canvas::{Anchor, Canvas, Dash, LABEL_SIZE, Stroke};
use crate::report::charts::lettering::text_width;
use crate::report::charts::palette::Ink;
use crate::report::charts::scale::Scale;
use crate::report::view::{HistoryView, ReadingView};

/// Histories with more readings than this are thinned by pixel columns.
const LONG: usize = 250;

/// Histories with more readings than this get smaller dots.
const MEDIUM: usize = 80;

/// Width of a column when thinning, pixels.
const COLUMN: f64 = 2.0;

/// Height of the strip beyond a broken edge, pixels.
pub(super) const BROKEN: f64 = 26.0;

/// True where the readings are thinned and the fit is drawn over them.
pub(super) fn is_long(view: &HistoryView) -> bool {
    view.readings.len() > LONG
}

/// True of a reading that columns leave out: marked, or off the scale.
fn stands_alone(reading: &ReadingView, layout: &Layout) -> bool {
    reading.is_marked() || !layout.y.holds(reading.value)
}

/// Draws bars first, then marks.
pub(super) fn draw_readings(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) {
    let drawable = |r: &ReadingView| !r.value.is_nan() && layout.x.holds(r.day);
    if is_dense(view) {
        draw_columns(canvas, view, layout);
    }
    let shown: Vec<&ReadingView> = if is_long(view) {
        let kept = thinned(view, &layout.x, COLUMN);
        kept.into_iter()
            .map(|i| &view.readings[i])
            .filter(|r| drawable(r) && (!is_dense(view) || stands_alone(r, layout)))
            .collect()
    } else {
        view.readings.iter().filter(|r| drawable(r)).collect()
    };
    let (half, opacity) = if is_long(view) {
        (0.25, 0.45)
    } else {
        (0.5, 1.0)
    };
    for reading in &shown {
        if reading.u > 0.0 && layout.y.holds(reading.value) {
            let (x, bar) = (layout.x.at(reading.day), BAR_COVERAGE * reading.u);
            let head = layout.y.held(reading.value + bar);
            let foot = layout.y.held(reading.value - bar);
            canvas.rectangle((x - half, head), (x + half, foot), Ink::Reading, opacity);
        }
    }
    let radius = match view.readings.len() {
        n if n > LONG => 1.5,
        n if n > MEDIUM => 2.25,
        _ => 3.0,
    };
    draw_outcomes(canvas, view, layout, radius);
    let mut named: Vec<(f64, f64)> = Vec::new();
    for reading in shown {
        draw_mark(canvas, layout, reading, radius);
        if !layout.y.holds(reading.value) {
            name_far_value(canvas, layout, reading, &mut named);
        }
    }
}

/// Checks of which only the outcome was kept, on the time axis, where no height is read off.
fn draw_outcomes(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout, radius: f64) {
    let only_outcome = |r: &&ReadingView| r.value.is_nan() && layout.x.holds(r.day);
    // Beside values they stand on the axis; alone they have two lanes.
    let lanes = match has_values(view) {
        true => [layout.bottom; 2],
        false => draw_lanes(canvas, layout),
    };
    // Marks of one kind that would lie on each other are one.
    let mut drawn = [f64::NEG_INFINITY; 2];
    for reading in view.readings.iter().filter(only_outcome) {
        let x = layout.x.at(reading.day);
        let y = lanes[usize::from(reading.out_of_tolerance)];
        let last = &mut drawn[usize::from(reading.out_of_tolerance)];
        if is_long(view) && x - *last < 0.25 * COLUMN {
            continue;
        }
        *last = x;
        if reading.out_of_tolerance {
            canvas.triangle((x, y), radius + 2.0, Ink::Alarm, true);
        } else {
            canvas.square((x, y), radius, Ink::Reading);
        }
    }
}

/// Names the lanes of good and bad outcomes; their heights, pixels.
fn draw_lanes(canvas: &mut Canvas<'_>, layout: &Layout) -> [f64; 2] {
    let height = layout.bottom - layout.top;
    let lanes = [layout.top + 0.3 * height, layout.top + 0.7 * height];
    for (y, name) in lanes.into_iter().zip(["in", "out"]) {
        let stroke = Stroke(Ink::Grid, 0.5, Dash::Solid);
        canvas.line((layout.left, y), (layout.right, y), stroke);
        let place = (layout.left - 7.0, y + 4.0);
        canvas.label(name, place, Ink::Text, Anchor::End);
    }
    lanes
}

/// Pixel of a value; the strip beyond a broken edge for one that is off the scale.
pub(super) fn place(layout: &Layout, value: f64) -> f64 {
    match value {
        v if v > layout.extent.y.1 => layout.top + 0.5 * BROKEN - 4.0,
        v if v < layout.extent.y.0 => layout.bottom - 0.5 * BROKEN + 4.0,
        v => layout.y.at(v),
    }
}

fn draw_mark(canvas: &mut Canvas<'_>, layout: &Layout, reading: &ReadingView, radius: f64) {
    let (x, y) = (layout.x.at(reading.day), place(layout, reading.value));
    if let Some(left) = reading.as_left.filter(|left| !left.is_nan()) {
        let open = place(layout, left);
        canvas.line((x, y), (x, open), Stroke(Ink::Reading, 1.0, Dash::Solid));
        canvas.dot((x, open), radius + 0.5, Ink::Ground);
        canvas.ring((x, open), radius, Stroke(Ink::Reading, 1.25, Dash::Solid));
    }
    if reading.out_of_tolerance {
        canvas.triangle((x, y), radius + 2.0, Ink::Alarm, true);
    } else {
        canvas.dot((x, y), radius, Ink::Reading);
    }
    if reading.outlier {
        canvas.ring((x, y), radius + 4.0, Stroke(Ink::Text, 1.25, Dash::Solid));
    }
}

/// Writes the value of a reading beyond the broken edge, where the words find room.
fn name_far_value(
    canvas: &mut Canvas<'_>,
    layout: &Layout,
    reading: &ReadingView,
    named: &mut Vec<(f64, f64)>,
) {
    let (x, y) = (layout.x.at(reading.day), place(layout, reading.value));
    let value = layout.axis.words(reading.value);
    let width = text_width(&value, LABEL_SIZE) + 14.0;
    let to_left = x + width > layout.right;
    let span = if to_left {
        (x - width, x)
    } else {
        (x, x + width)
    };
    if named.iter().any(|(a, b)| span.1 >= *a && span.0 <= *b) {
        return;
    }
    let (at, anchor) = if to_left {
        (x - 10.0, Anchor::End)
    } else {
        (x + 10.0, Anchor::Start)
    };
    canvas.label(&value, (at, y + 4.0), Ink::Text, anchor);
    named.push(span);
}

/// Numbers of the readings to draw: all of them, or for long histories the lowest and
/// highest of each `step` pixels, as found and as left, taken separately for flagged ones so
/// that none is lost.
fn thinned(view: &HistoryView, x: &Scale, step: f64) -> Vec<usize> {
    let mut kept = Vec::new();
    let column = |i: usize| (x.at(view.readings[i].day) / step).floor();
    let order: Vec<usize> = (0..view.readings.len())
        .filter(|i| !view.readings[*i].value.is_nan())
        .collect();
    for run in order.chunk_by(|a, b| column(*a) == column(*b)) {
        let flagged = |i: &usize| view.readings[*i].out_of_tolerance || view.readings[*i].outlier;
        for kind in [false, true] {
            let members = || run.iter().copied().filter(move |i| flagged(i) == kind);
            let by_value = |a: &usize, b: &usize| {
                view.readings[*a]
                    .value
                    .total_cmp(&view.readings[*b].value)
                    .then(a.cmp(b))
            };
            kept.extend(members().min_by(by_value));
            kept.extend(members().max_by(by_value));
        }
        let left = |i: &usize| view.readings[*i].as_left.unwrap_or(f64::NAN);
        let set = || run.iter().copied().filter(|i| !left(i).is_nan());
        kept.extend(set().min_by(|a, b| left(a).total_cmp(&left(b)).then(a.cmp(b))));
        kept.extend(set().max_by(|a, b| left(a).total_cmp(&left(b)).then(a.cmp(b))));
    }
    kept.sort_unstable();
    kept.dedup();
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples::history;

    #[test]
    fn thinning_keeps_the_extremes_of_flagged_and_unflagged_readings() {
        let mut v = history(5000);
        v.readings[1234].out_of_tolerance = true;
        v.readings[77].value = 2000.0;
        v.readings[78].value = -2000.0;
        let scale = Scale::new(
            crate::report::charts::history::extent::extent(&v).x,
            (64.0, 708.0),
        );
        let kept = thinned(&v, &scale, 2.0);
        assert!(kept.len() < 1500);
        assert!([1234, 77, 78].iter().all(|i| kept.contains(i)));
    }
}
