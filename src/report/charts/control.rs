/*! Control: is the item still what was characterised? Values and their weighted average between
warning and action limits, cumulative sums below, the base period shaded, signals named. */

use super::canvas::{Anchor, Canvas, Dash, LABEL_SIZE, Stroke, sheet};
use super::frame::{Frame, heading};
use super::labels::{Flag, ROW, SideLabel, draw_flags};
use super::palette::Ink;
use super::scale::{Scale, Tick, ValueAxis, nice_step, value_axis};
use crate::report::text::{fixed, iso_date};
use crate::report::view::{ControlPath, ControlPoint, ControlView};

/// Size of the picture, pixels.
const SIZE: (u32, u32) = (840, 470);
/// Left and right edge of both plots.
const SIDES: (f64, f64) = (70.0, 700.0);
/// Lower edge of the plot of values, and both edges of that of the sums.
const VALUES_END: f64 = 290.0;
const SUMS: (f64, f64) = (436.0, 322.0);
/// Deviations from the centre that are drawn; values beyond stand at the edge with their number.
const MOST_DEVIATIONS: f64 = 8.0;
/// Rows for the names of signals.
const FLAG_ROWS: usize = 2;

/// The control chart of one item.
pub(crate) fn control_chart(view: &ControlView) -> String {
    let title = format!("{}: {}", view.name, view.finding);
    let second = match view.base {
        0 => String::new(),
        base => format!(
            "dots: values; line: weighted average between its limits; shaded: base period of {base}{}; below: cumulative sums",
            base_end(view).map_or(String::new(), |last| format!(" to {}", iso_date(last.day)))
        ),
    };
    sheet(SIZE, &title, &second, |canvas| {
        let top = heading(canvas, &title, &second, f64::from(SIZE.0)) + 14.0;
        match (view.centre, view.points.is_empty()) {
            (Some(centre), false) => draw(canvas, view, centre, top + ROW * FLAG_ROWS as f64),
            _ => canvas.label(
                "no chart: the values set no limits",
                (SIDES.0, top + 60.0),
                Ink::Text,
                Anchor::Start,
            ),
        }
    })
}

fn draw(canvas: &mut Canvas<'_>, view: &ControlView, (centre, deviation): (f64, f64), top: f64) {
    let days = || view.points.iter().map(|point| point.day);
    let (first, last) = (
        days().fold(f64::INFINITY, f64::min),
        days().fold(f64::NEG_INFINITY, f64::max),
    );
    let pad = (0.02 * (last - first)).max(10.0);
    let far = (view.points.iter())
        .map(|point| (point.value - centre).abs().max(3.6 * point.deviation) / deviation)
        .fold(3.6, f64::max)
        .min(MOST_DEVIATIONS);
    let x = Scale::new((first - pad, last + pad), SIDES);
    let values = Frame {
        x,
        y: Scale::new(
            (
                centre - 1.05 * far * deviation,
                centre + 1.05 * far * deviation,
            ),
            (VALUES_END, top),
        ),
    };
    shade(canvas, view, &values);
    draw_values(canvas, view, &values, centre);
    let most = |sum: fn(&ControlPoint) -> f64| {
        let sums = view.points.iter().map(sum);
        1.05 * sums.fold(1.4 * view.cusum_limit, f64::max)
    };
    let sums = Frame {
        x,
        y: Scale::new(
            (-most(|point| point.cusum.1), most(|point| point.cusum.0)),
            SUMS,
        ),
    };
    draw_sums(canvas, view, &sums);
    draw_marks(canvas, view, (&values, &sums), top);
}

/// The last value of the base period.
fn base_end(view: &ControlView) -> Option<&ControlPoint> {
    let end = view.base.min(view.points.len()).checked_sub(1)?;
    view.points.get(end)
}

/// The base period.
fn shade(canvas: &mut Canvas<'_>, view: &ControlView, frame: &Frame) {
    if let (Some(first), Some(last)) = (view.points.first(), base_end(view)) {
        let (left, right) = (frame.x.at(first.day) - 4.0, frame.x.at(last.day) + 4.0);
        canvas.rectangle(
            (left, frame.y.range.1),
            (right, frame.y.range.0),
            Ink::Grid,
            0.14,
        );
    }
}

fn draw_values(canvas: &mut Canvas<'_>, view: &ControlView, frame: &Frame, centre: f64) {
    let (low, high) = frame.y.domain;
    let axis = value_axis(low, high, &view.unit, 7);
    frame.y_ticks(canvas, &axis.ticks);
    canvas.label(
        &axis.caption,
        (14.0, frame.y.range.1 - 6.0),
        Ink::Text,
        Anchor::Start,
    );
    let mut labels = draw_limits(canvas, view, frame, centre);
    let average = |half: f64| {
        let side = move |point: &ControlPoint| (point.day, centre + half * point.ewma.1);
        frame.pixels(view.points.iter().map(side))
    };
    for half in [1.0, -1.0] {
        canvas.path(&average(half), Stroke(Ink::Plan, 1.0, Dash::Short));
    }
    let path = frame.pixels(view.points.iter().map(|point| (point.day, point.ewma.0)));
    canvas.path(&path, Stroke(Ink::Plan, 1.8, Dash::Solid));
    if let Some(last) = view.points.last() {
        labels.push(SideLabel::new(
            frame.y.held(last.ewma.0),
            "average",
            Ink::Plan,
        ));
    }
    draw_points(canvas, view, frame, centre, &axis);
    frame.side_labels(canvas, labels);
}

/// The centre with the warning and action limits about it, and their names.
fn draw_limits(
    canvas: &mut Canvas<'_>,
    view: &ControlView,
    frame: &Frame,
    centre: f64,
) -> Vec<SideLabel> {
    let mut labels = Vec::new();
    for (deviations, dash, width, name) in [
        (0.0, Dash::Solid, 1.0, "centre"),
        (2.0, Dash::Short, 1.0, "warning, 2 s"),
        (-2.0, Dash::Short, 1.0, "warning, 2 s"),
        (3.0, Dash::Long, 1.4, "action, 3 s"),
        (-3.0, Dash::Long, 1.4, "action, 3 s"),
    ] {
        let ink = if deviations == 0.0 {
            Ink::Grid
        } else {
            Ink::Limit
        };
        let line = limit_line(view, frame, centre, deviations);
        canvas.path(
            &frame.pixels(line.iter().copied()),
            Stroke(ink, width, dash),
        );
        if let Some((_, last)) = line.last() {
            labels.push(SideLabel::new(frame.y.held(*last), name, ink));
        }
    }
    labels
}

/// The limit at so many deviations over the whole plot: a step half way between two values whose
/// deviations differ.
fn limit_line(view: &ControlView, frame: &Frame, centre: f64, deviations: f64) -> Vec<(f64, f64)> {
    let at = |point: &ControlPoint| centre + deviations * point.deviation;
    let mut line: Vec<(f64, f64)> = Vec::new();
    line.extend(view.points.first().map(|p| (frame.x.domain.0, at(p))));
    for pair in view
        .points
        .windows(2)
        .filter(|pair| at(&pair[0]) != at(&pair[1]))
    {
        let between = 0.5 * (pair[0].day + pair[1].day);
        line.extend(pair.iter().map(|point| (between, at(point))));
    }
    line.extend(view.points.last().map(|p| (frame.x.domain.1, at(p))));
    line
}

/// The values; those beyond the plot at its edge, with their figure.
fn draw_points(
    canvas: &mut Canvas<'_>,
    view: &ControlView,
    frame: &Frame,
    centre: f64,
    axis: &ValueAxis,
) {
    for point in &view.points {
        let at = frame.held(point.day, point.value);
        let size = if view.points.len() > 300 { 2.0 } else { 3.2 };
        match (point.value - centre).abs() > 3.0 * point.deviation {
            true => canvas.triangle(at, 5.0, Ink::Alarm, point.value > centre),
            false => canvas.dot(at, size, Ink::Reading),
        }
        if !frame.y.holds(point.value) {
            let words = axis.words(point.value);
            canvas.text(
                &words,
                // Clear of the average, which runs along the same edge.
                (
                    at.0 + 7.0,
                    at.1 + if point.value > centre { 16.0 } else { -8.0 },
                ),
                LABEL_SIZE,
                Ink::Alarm,
                Anchor::Start,
            );
        }
    }
}

/// The upper sum upwards, the lower one downwards.
fn draw_sums(canvas: &mut Canvas<'_>, view: &ControlView, frame: &Frame) {
    let (low, high) = frame.y.domain;
    let step = nice_step((high - low) / 4.0);
    let tick = |i: i32| Tick {
        at: f64::from(i) * step,
        label: fixed(f64::from(i.abs()) * step, if step < 1.0 { 1 } else { 0 }),
    };
    let ticks: Vec<Tick> = (-4..=4).map(tick).collect();
    frame.y_ticks(canvas, &ticks);
    let mut labels = Vec::new();
    for (limit, name) in [
        (view.cusum_limit, "upper sum"),
        (-view.cusum_limit, "lower sum"),
    ] {
        frame.horizontal(canvas, limit, Stroke(Ink::Limit, 1.2, Dash::Long));
        labels.push(SideLabel::new(
            frame.y.held(limit),
            format!("{name}, limit {}", fixed(view.cusum_limit, 1)),
            Ink::Limit,
        ));
    }
    frame.horizontal(canvas, 0.0, Stroke(Ink::Grid, 1.0, Dash::Solid));
    for side in [1.0, -1.0] {
        let sum = |point: &ControlPoint| {
            let sum = if side > 0.0 {
                point.cusum.0
            } else {
                -point.cusum.1
            };
            (point.day, sum)
        };
        let path = frame.pixels(view.points.iter().map(sum));
        canvas.path(&path, Stroke(Ink::Reading, 1.6, Dash::Solid));
    }
    frame.side_labels(canvas, labels);
    frame.date_axis(canvas);
}

/// Names the signals above the plot, each with a line to where it is seen.
fn draw_marks(
    canvas: &mut Canvas<'_>,
    view: &ControlView,
    (values, sums): (&Frame, &Frame),
    top: f64,
) {
    let mut flags = Vec::new();
    for mark in &view.marks {
        let Some(point) = view.points.get(mark.index) else {
            continue;
        };
        let ink = if mark.open { Ink::Alarm } else { Ink::Grid };
        let at = match mark.on {
            ControlPath::Values => values.held(point.day, point.value),
            ControlPath::Average => values.held(point.day, point.ewma.0),
            ControlPath::Sums if point.cusum.0 > point.cusum.1 => {
                sums.held(point.day, point.cusum.0)
            }
            ControlPath::Sums => sums.held(point.day, -point.cusum.1),
        };
        canvas.line((at.0, top), at, Stroke(ink, 0.8, Dash::Short));
        canvas.ring(at, 6.5, Stroke(ink, 1.6, Dash::Solid));
        let closed = if mark.open { "" } else { " (no longer open)" };
        flags.push(Flag::new(at.0, format!("{}{closed}", mark.words), ink));
    }
    let across = (SIDES.0 + 60.0, SIDES.1 + 120.0);
    draw_flags(canvas, flags, FLAG_ROWS, across, top - 4.0);
}
