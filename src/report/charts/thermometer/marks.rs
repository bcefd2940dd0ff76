/*! Marks of the picture of a thermometer's year: sessions, values in use, events, cells. */

use crate::report::charts::canvas::{Anchor, Canvas, Dash, LABEL_SIZE, Stroke};
use crate::report::charts::frame::Frame;
use crate::report::charts::labels::{SideLabel, draw_side_labels};
use crate::report::charts::lettering::text_width;
use crate::report::charts::palette::Ink;
use crate::report::text::significant;
use crate::report::view::{YearMark, YearView};

/// Between marks of one day in two rows, pixels.
const BESIDE: f64 = 5.0;

/// A dot with its bar; a second row of a panel has diamonds, a third rings, beside those of the same day; what was
/// rejected is a triangle.
pub(super) fn draw_mark(canvas: &mut Canvas<'_>, frame: &Frame, mark: &YearMark, row: usize) {
    let place = |value: f64| {
        let (x, y) = frame.held(mark.day, value);
        (x + BESIDE * row as f64, y)
    };
    let ink = [Ink::Reading, Ink::Plan]
        .get(row)
        .copied()
        .unwrap_or(Ink::Text);
    let at = place(mark.value);
    if !mark.counts {
        canvas.triangle(at, 5.0, Ink::Alarm, true);
        return;
    }
    if mark.u.is_finite() && mark.u > 0.0 {
        let (low, high) = (mark.value - 2.0 * mark.u, mark.value + 2.0 * mark.u);
        canvas.line(place(low), place(high), Stroke(ink, 1.0, Dash::Solid));
    }
    match row {
        0 => canvas.dot(at, 3.0, ink),
        1 => canvas.diamond(at, 4.0, ink),
        _ => canvas.ring(at, 3.0, Stroke(ink, 1.25, Dash::Solid)),
    }
}

/// Steps of the value in use, and what happened between the sessions.
pub(super) fn draw_values(canvas: &mut Canvas<'_>, frame: &Frame, view: &YearView) {
    let stroke = Stroke(Ink::Plan, 1.75, Dash::Solid);
    let (start, end) = frame.x.domain;
    for (i, &(from, value)) in view.values.iter().enumerate() {
        let until = view.values.get(i + 1).map_or(end, |next| next.0);
        let (left, right) = (from.max(start), until.min(end));
        if left < right {
            canvas.line(frame.held(left, value), frame.held(right, value), stroke);
        }
        if i > 0 && frame.x.holds(from) {
            let step = Stroke(Ink::Plan, 0.75, Dash::Short);
            canvas.line(
                frame.held(from, view.values[i - 1].1),
                frame.held(from, value),
                step,
            );
        }
    }
    if let Some(&(_, value)) = view.shown_values().last() {
        let label = SideLabel::new(frame.y.held(value), "value in use", Ink::Plan);
        draw_side_labels(
            canvas,
            vec![label],
            frame.x.range.1,
            frame.y.range.1,
            frame.y.range.0,
        );
    }
    let hairline = Stroke(Ink::Grid, 1.0, Dash::Short);
    let mut free = frame.x.range.0;
    let lines: Vec<f64> = view.events.iter().map(|e| frame.x.held(e.0)).collect();
    for (day, word) in &view.events {
        frame.vertical(canvas, *day, hairline);
        let (line, width) = (frame.x.held(*day), text_width(word, LABEL_SIZE));
        // Right of its line or left of it, where no other line goes through the word.
        let clear = |left: &f64| {
            let right = left + width;
            let through = lines.iter().any(|x| *x >= *left && *x <= right);
            *left > free && right < frame.x.range.1 && !through
        };
        let left = [line + 3.0, line - 3.0 - width].into_iter().find(clear);
        if let Some(left) = left {
            canvas.label(
                word,
                (left, frame.y.range.1 + 10.0),
                Ink::Grid,
                Anchor::Start,
            );
            free = left + width + 4.0;
        }
    }
}

/// The rule's limits about the value in use: beyond the first no value is adopted without an
/// anneal, beyond the second the thermometer is withdrawn.
pub(super) fn draw_limits(canvas: &mut Canvas<'_>, frame: &Frame, view: &YearView) {
    let value = view.shown_values().last();
    let Some((&(from, value), (anneal, withdraw))) = value.zip(view.limits) else {
        return;
    };
    let (start, end) = (from.max(frame.x.domain.0), frame.x.domain.1);
    for (limit, dash, words) in [
        (anneal, Dash::Long, "anneal beyond"),
        (withdraw, Dash::Solid, "withdraw beyond"),
    ] {
        let stroke = Stroke(Ink::Limit, 1.25, dash);
        for (sign, side) in [("+", 1.0), ("−", -1.0)] {
            let at = value + side * limit;
            if !frame.y.holds(at) {
                continue;
            }
            canvas.line(frame.held(start, at), frame.held(end, at), stroke);
            let text = format!("{words} {sign}{} mK", significant(limit, 2));
            let place = (frame.x.range.1 + 10.0, frame.y.at(at) + 4.0);
            canvas.label(&text, place, Ink::Limit, Anchor::Start);
        }
    }
}

/// The cell of each stretch of sessions as a bar with its name, above the dates.
pub(super) fn draw_cells(canvas: &mut Canvas<'_>, frame: &Frame, view: &YearView) {
    let (x, (bottom, top)) = (frame.x, frame.y.range);
    frame.y_caption(canvas, "cell");
    frame.date_axis(canvas);
    for (i, (from, until, name)) in view.cells.iter().enumerate() {
        let (left, right) = (x.held(*from) - 4.0, x.held(*until) + 4.0);
        canvas.rectangle(
            (left, top + 2.0),
            (right, bottom - 4.0),
            Ink::Reading,
            if i % 2 == 0 { 0.14 } else { 0.28 },
        );
        let wide = text_width(name, LABEL_SIZE) + 6.0 <= right - left;
        let last = i + 1 == view.cells.len();
        let at = if wide { left + 3.0 } else { right + 3.0 };
        // A short stretch has its name beside it where nothing follows.
        if wide || last {
            let baseline = bottom - 8.0;
            canvas.label(name, (at, baseline), Ink::Text, Anchor::Start);
        }
    }
}
