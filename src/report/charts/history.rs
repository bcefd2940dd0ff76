/*! The chart of one history: does it hold, how fast does it move, until when can it be trusted? */

use super::canvas::{Anchor, Canvas, Dash, Pixel, Stroke, sheet};
use super::extent::{BAR_COVERAGE, Extent, extent, thinned};
use super::labels::{Flag, LABEL_SIZE, ROW, SideLabel, draw_side_labels, place_flags};
use super::lettering::{shortened, text_width, wrapped};
use super::palette::Ink;
use super::scale::{Scale, Tick, date_ticks, value_axis};
use super::under_axis::{draw_brackets, draw_key};
use crate::report::text::{count, iso_date, percent, significant, with_unit};
use crate::report::view::{CurvePoint, HistoryView};

/// Size of the chart, pixels.
pub const SIZE: (u32, u32) = (840, 420);

/// Histories with more readings than this are thinned by pixel columns.
const THIN_FROM: usize = 300;

/// Width of a column when thinning, pixels.
const COLUMN: f64 = 2.0;

/// Height of the strip beyond a broken edge, pixels.
const BROKEN: f64 = 26.0;

/// Where everything sits, pixels.
pub(super) struct Layout {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
    pub x: Scale,
    pub y: Scale,
    pub extent: Extent,
}

/// SVG of one history, 840 × 420 pixels.
pub fn history_chart(view: &HistoryView) -> String {
    let title = title(view);
    sheet(SIZE, &title, &description(view), |canvas| {
        let lines = wrapped(&title, 15.0, 812.0, 2);
        for (i, line) in lines.iter().enumerate() {
            canvas.bold(
                line,
                (14.0, 24.0 + 18.0 * i as f64),
                15.0,
                Ink::Text,
                Anchor::Start,
            );
        }
        let below = 24.0 + 18.0 * lines.len() as f64;
        canvas.text(
            &shortened(&subtitle(view), 12.5, 812.0),
            (14.0, below),
            12.5,
            Ink::Text,
            Anchor::Start,
        );
        draw_plot(canvas, view, below + 12.0);
    })
}

fn title(view: &HistoryView) -> String {
    if view.finding.is_empty() {
        view.name()
    } else {
        view.finding.clone()
    }
}

fn subtitle(view: &HistoryView) -> String {
    let mut parts = Vec::new();
    let mut part = |text: String| {
        if !text.is_empty() {
            parts.push(text)
        }
    };
    part(view.point.clone());
    match few_checks(view) {
        Some(words) => part(words.into()),
        None => part(count(view.readings.len(), "check")),
    }
    let drift = if view.borrowed {
        ", drift borrowed from the class (dashed)"
    } else {
        ""
    };
    if !view.curve.is_empty() && !view.model.is_empty() {
        part(format!("model {}{drift}", view.model));
        part(format!("bands at {}", percent(view.level)));
    }
    let limits = view.last_tolerance();
    if limits == (None, None) {
        part("no tolerance given".into());
    }
    parts.join("  ·  ")
}

fn description(view: &HistoryView) -> String {
    let mut days = super::extent::Range::EMPTY;
    let mut values = super::extent::Range::EMPTY;
    for reading in &view.readings {
        days.add(reading.day);
        values.add(reading.value);
    }
    let mut text = format!("{}: {}", view.name(), count(view.readings.len(), "check"));
    if !days.is_empty() {
        text += &match &view.usage_unit {
            None => format!(" from {} to {}", iso_date(days.0), iso_date(days.1)),
            Some(unit) => format!(
                " from {} to {} {unit}",
                significant(days.0, 4),
                significant(days.1, 4)
            ),
        };
    }
    if !values.is_empty() {
        let (low, high) = (significant(values.0, 6), significant(values.1, 6));
        text += &format!(", errors from {low} to {}", with_unit(&high, &view.unit));
    }
    let out = view.readings.iter().filter(|r| r.out_of_tolerance).count();
    text + &format!(", {out} out of tolerance. {}", view.reason)
}

fn draw_plot(canvas: &mut Canvas<'_>, view: &HistoryView, head: f64) {
    let extent = extent(view);
    let (left, right, bottom) = (72.0, 700.0, 332.0);
    let x = Scale {
        domain: extent.x,
        range: (left, right),
    };
    let (flags, unnamed) = place_flags(flags(view, &x), 2, left, 826.0);
    let rows = flags.iter().map(|f| f.row + 1).max().unwrap_or(0);
    let top = head + ROW * rows as f64 + 4.0;
    let above = top + if extent.broken_above { BROKEN } else { 0.0 };
    let below = bottom - if extent.broken_below { BROKEN } else { 0.0 };
    let y = Scale {
        domain: extent.y,
        range: (below, above),
    };
    let layout = Layout {
        left,
        right,
        top,
        bottom,
        x,
        y,
        extent,
    };
    for placed in &flags {
        let baseline = top - 5.0 - ROW * placed.row as f64;
        canvas.text(
            &placed.flag.text,
            (placed.left, baseline),
            LABEL_SIZE,
            placed.flag.ink,
            Anchor::Start,
        );
        let foot = (placed.flag.x, bottom);
        canvas.line(
            (placed.flag.x, baseline + 3.0),
            foot,
            Stroke(placed.flag.ink, 0.75, Dash::Solid),
        );
    }
    draw_axes(canvas, view, &layout);
    draw_future(canvas, view, &layout);
    let many = view.readings.len() > THIN_FROM;
    let mut labels = draw_tolerance(canvas, view, &layout);
    // Many dots would hide the fit, a few must not be hidden by it.
    if many {
        draw_readings(canvas, view, &layout);
    }
    labels.extend(draw_curve(canvas, view, &layout));
    if !many {
        draw_readings(canvas, view, &layout);
    }
    draw_side_labels(canvas, labels, right, top + 4.0, bottom - 4.0);
    draw_brackets(canvas, view, &layout);
    draw_key(canvas, view, unnamed);
}

/// What one or two checks allow, in words.
fn few_checks(view: &HistoryView) -> Option<&'static str> {
    let values = view.readings.iter().filter(|r| !r.value.is_nan()).count();
    match (values, view.curve.is_empty(), view.borrowed) {
        (0, ..) if view.readings.is_empty() => Some("no check"),
        (0, ..) => Some("only outcomes were kept: no values to draw"),
        (1, _, true) => Some("one check: the drift shown is the class's, not its own"),
        (1, ..) => Some("one check: no drift can be estimated"),
        (2, true, _) => Some("two checks: no drift can be estimated without their u"),
        (2, false, true) => Some("two checks: the drift shown is mostly the class's"),
        (2, false, false) => Some("two checks: the bands assume that their stated u is right"),
        _ => None,
    }
}

fn flags(view: &HistoryView, x: &Scale) -> Vec<Flag> {
    let mut flags: Vec<Flag> = Vec::new();
    if view.usage_unit.is_none() && x.holds(view.as_of) {
        let text = format!("as of {}", iso_date(view.as_of));
        flags.push(Flag {
            x: x.at(view.as_of),
            text,
            ink: Ink::Text,
        });
    }
    for reading in view.readings.iter().filter(|r| !r.event.is_empty()) {
        flags.push(Flag {
            x: x.at(reading.day),
            text: reading.event.into(),
            ink: Ink::Grid,
        });
    }
    flags
}

fn draw_axes(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) {
    let (left, right, bottom) = (layout.left, layout.right, layout.bottom);
    let hair = Stroke(Ink::Grid, 0.5, Dash::Solid);
    let axis = value_axis(layout.y.domain.0, layout.y.domain.1, &view.unit, 7);
    for tick in &axis.ticks {
        let y = layout.y.at(tick.at);
        canvas.line((left - 4.0, y), (left, y), hair);
        canvas.rectangle((left, y - 0.25), (right, y + 0.25), Ink::Grid, 0.25);
        canvas.text(
            &tick.label,
            (left - 7.0, y + 4.0),
            LABEL_SIZE,
            Ink::Text,
            Anchor::End,
        );
    }
    canvas.text(
        &axis.caption,
        (14.0, layout.top - 6.0),
        LABEL_SIZE,
        Ink::Text,
        Anchor::Start,
    );
    let ticks = match &view.usage_unit {
        None => date_ticks(layout.extent.x.0, layout.extent.x.1, right - left),
        Some(unit) => usage_ticks(layout.extent.x, unit),
    };
    canvas.line(
        (left, bottom),
        (right, bottom),
        Stroke(Ink::Grid, 1.0, Dash::Solid),
    );
    for tick in &ticks {
        let x = layout.x.at(tick.at);
        canvas.line(
            (x, bottom),
            (x, bottom + 4.0),
            Stroke(Ink::Grid, 1.0, Dash::Solid),
        );
        canvas.text(
            &tick.label,
            (x, bottom + 17.0),
            LABEL_SIZE,
            Ink::Text,
            Anchor::Middle,
        );
    }
    for (broken, edge) in [
        (layout.extent.broken_above, layout.y.range.1),
        (layout.extent.broken_below, layout.y.range.0),
    ] {
        if broken {
            canvas.path(
                &zigzag(left, right, edge),
                Stroke(Ink::Grid, 1.0, Dash::Solid),
            );
        }
    }
}

fn usage_ticks(domain: (f64, f64), unit: &str) -> Vec<Tick> {
    let axis = value_axis(domain.0, domain.1, unit, 7);
    let with = |tick: Tick| Tick {
        label: with_unit(&tick.label, &axis.caption),
        ..tick
    };
    axis.ticks.into_iter().map(with).collect()
}

/// The mark of a broken edge.
fn zigzag(left: f64, right: f64, y: f64) -> Vec<Pixel> {
    let teeth = ((right - left) / 12.0) as usize;
    let tooth = |i: usize| {
        (
            left + (right - left) * i as f64 / teeth as f64,
            y + if i.is_multiple_of(2) { -2.5 } else { 2.5 },
        )
    };
    (0..=teeth).map(tooth).collect()
}

fn draw_future(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) {
    let from = layout.x.at(view.as_of).max(layout.left);
    if view.usage_unit.is_none() && from < layout.right {
        canvas.rectangle(
            (from, layout.top),
            (layout.right, layout.bottom),
            Ink::Grid,
            0.09,
        );
    }
}

/// Draws bands and fit segment by segment; returns labels for their right ends.
fn draw_curve(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) -> Vec<SideLabel> {
    let inside = |p: &&CurvePoint| layout.x.holds(p.day) && p.expected.is_finite();
    let points: Vec<CurvePoint> = view.curve.iter().filter(inside).copied().collect();
    let fit = Stroke(
        Ink::Text,
        1.75,
        if view.borrowed {
            Dash::Short
        } else {
            Dash::Solid
        },
    );
    let outline = Stroke(Ink::Reading, 1.25, Dash::Dots);
    for segment in points.chunk_by(|a, b| a.segment == b.segment) {
        let edge = |value: fn(&CurvePoint) -> f64| -> Vec<Pixel> {
            segment
                .iter()
                .filter(|p| !value(p).is_nan())
                .map(|p| (layout.x.at(p.day), value(p)))
                .collect()
        };
        let held = |edge: Vec<Pixel>| edge.into_iter().map(|(x, v)| (x, layout.y.held(v)));
        let mut band: Vec<Pixel> = held(edge(|p| p.confidence.0)).collect();
        band.extend(held(edge(|p| p.confidence.1)).rev());
        canvas.polygon(&band, Ink::Reading, 0.14);
        for (values, stroke) in [
            (edge(|p| p.prediction.0), outline),
            (edge(|p| p.prediction.1), outline),
            (edge(|p| p.expected), fit),
        ] {
            for run in clipped(&values, &layout.y) {
                canvas.path(&run, stroke);
            }
        }
    }
    points
        .last()
        .map_or(Vec::new(), |last| curve_labels(view, last, &layout.y))
}

fn curve_labels(view: &HistoryView, last: &CurvePoint, y: &Scale) -> Vec<SideLabel> {
    let mut labels = Vec::new();
    let mut label = |value: f64, text: String, ink: Ink| {
        if y.holds(value) {
            labels.push(SideLabel {
                y: y.at(value),
                text,
                ink,
            });
        }
    };
    label(last.expected, "expected".into(), Ink::Text);
    let level = percent(view.level);
    let prediction = if y.holds(last.prediction.1) {
        last.prediction.1
    } else {
        last.prediction.0
    };
    label(prediction, format!("next reading, {level}"), Ink::Reading);
    let confidence = if y.holds(last.confidence.1) {
        last.confidence.1
    } else {
        last.confidence.0
    };
    label(confidence, format!("true error, {level}"), Ink::Reading);
    labels
}

/// Runs of a curve in data that lie inside the scale, cut at its edges, as pixels.
fn clipped(points: &[Pixel], y: &Scale) -> Vec<Vec<Pixel>> {
    let mut runs: Vec<Vec<Pixel>> = vec![Vec::new()];
    for (i, &(x, value)) in points.iter().enumerate() {
        if let Some(&(x0, before)) = i.checked_sub(1).and_then(|j| points.get(j)) {
            let mut cuts: Vec<(f64, f64)> = [y.domain.0, y.domain.1]
                .into_iter()
                .filter(|edge| {
                    (before < *edge) != (value < *edge) && *edge != value && *edge != before
                })
                .map(|edge| ((edge - before) / (value - before), edge))
                .collect();
            cuts.sort_by(|a, b| a.0.total_cmp(&b.0));
            for (share, edge) in cuts {
                let cut = (x0 + share * (x - x0), y.at(edge));
                if let Some(run) = runs.last_mut() {
                    run.push(cut);
                }
            }
        }
        match runs.last_mut() {
            Some(run) if y.holds(value) => run.push((x, y.at(value))),
            Some(run) if !run.is_empty() => runs.push(Vec::new()),
            _ => {}
        }
    }
    runs
}

fn draw_tolerance(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) -> Vec<SideLabel> {
    let stroke = Stroke(Ink::Limit, 1.5, Dash::Long);
    for (i, step) in view.tolerance.iter().enumerate() {
        let start = if i == 0 {
            layout.left
        } else {
            layout.x.held(step.from)
        };
        let end = view
            .tolerance
            .get(i + 1)
            .map_or(layout.right, |next| layout.x.held(next.from));
        for limit in step.lower.into_iter().chain(step.upper) {
            if layout.y.holds(limit) {
                let y = layout.y.at(limit);
                canvas.line((start, y), (end, y), stroke);
            }
        }
    }
    let (lower, upper) = view.last_tolerance();
    let label = |limit: f64| {
        let (value, (low, high)) = (
            with_unit(&significant(limit, 5), &view.unit),
            layout.y.domain,
        );
        let value = trimmed_zeros(&value, limit, &view.unit);
        match limit {
            l if l > high => SideLabel {
                y: layout.top + 4.0,
                text: format!("limit {value} ↑"),
                ink: Ink::Limit,
            },
            l if l < low => SideLabel {
                y: layout.bottom - 4.0,
                text: format!("limit {value} ↓"),
                ink: Ink::Limit,
            },
            l => SideLabel {
                y: layout.y.at(l),
                text: format!("limit {value}"),
                ink: Ink::Limit,
            },
        }
    };
    lower.into_iter().chain(upper).map(label).collect()
}

/// The shortest text of a limit where it is plain enough, else five significant digits.
fn trimmed_zeros(rounded: &str, limit: f64, unit: &str) -> String {
    let plain = format!("{}", limit.abs());
    if plain.len() > 12 {
        return rounded.to_string();
    }
    let decimals = plain.split_once('.').map_or(0, |(_, f)| f.len());
    let sign = if limit > 0.0 { "+" } else { "" };
    with_unit(
        &format!("{sign}{}", crate::report::text::fixed(limit, decimals)),
        unit,
    )
}

fn draw_readings(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) {
    let many = view.readings.len() > THIN_FROM;
    let step = if many { COLUMN } else { 1e-9 };
    let shown = if many {
        thinned(view, &layout.x, step)
    } else {
        (0..view.readings.len())
            .filter(|i| !view.readings[*i].value.is_nan())
            .collect()
    };
    for &i in &shown {
        let (reading, x) = (&view.readings[i], layout.x.at(view.readings[i].day));
        if reading.u > 0.0 && layout.y.holds(reading.value) {
            let bar = BAR_COVERAGE * reading.u;
            let (low, high) = (reading.value - bar, reading.value + bar);
            let (half, opacity) = if many { (0.25, 0.45) } else { (0.5, 1.0) };
            let (foot, head) = (layout.y.held(low), layout.y.held(high));
            canvas.rectangle((x - half, head), (x + half, foot), Ink::Reading, opacity);
        }
    }
    let radius = if many { 1.5 } else { 3.0 };
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for &i in &shown {
        draw_reading(canvas, view, layout, i, radius, &mut taken);
    }
}

fn draw_reading(
    canvas: &mut Canvas<'_>,
    view: &HistoryView,
    layout: &Layout,
    i: usize,
    radius: f64,
    taken: &mut Vec<(f64, f64)>,
) {
    let reading = &view.readings[i];
    let x = layout.x.at(reading.day);
    let place = |value: f64| match value {
        v if v > layout.extent.y.1 => layout.top + 0.5 * BROKEN - 4.0,
        v if v < layout.extent.y.0 => layout.bottom - 0.5 * BROKEN + 4.0,
        v => layout.y.at(v),
    };
    let y = place(reading.value);
    if let Some(left) = reading.as_left {
        let open = place(left);
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
    if !layout.y.holds(reading.value) {
        let value = with_unit(&significant(reading.value, 4), &view.unit);
        let width = text_width(&value, LABEL_SIZE) + 14.0;
        let to_left = x + width > layout.right;
        let span = if to_left {
            (x - width, x)
        } else {
            (x, x + width)
        };
        // Several far readings may stand side by side: name only those whose words fit.
        if taken.iter().all(|(a, b)| span.1 < *a || span.0 > *b) {
            let (at, anchor) = if to_left {
                (x - 9.0, Anchor::End)
            } else {
                (x + 9.0, Anchor::Start)
            };
            canvas.text(&value, (at, y + 4.0), LABEL_SIZE, Ink::Text, anchor);
            taken.push(span);
        }
    }
}
