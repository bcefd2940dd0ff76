/*! The chart of one history: does it hold, how fast does it move, until when can it be trusted? */

mod axes;
mod crossing;
mod curve;
mod dense;
mod extent;
mod layout;
mod other_axis;
mod places;
mod probability;
mod readings;
mod residuals;
mod tolerance;
mod under_axis;
mod value_in_use;

use crate::report::charts::canvas::{Anchor, Canvas, Dash, Stroke, sheet};
use crate::report::charts::frame::heading;
use crate::report::charts::labels::{Flag, PlacedFlag, ROW, draw_side_labels, place_flags};
use crate::report::charts::palette::Ink;
use crate::report::charts::scale::{Range, Scale, value_axis};
use crate::report::text::{count, iso_date, percent, significant, to_uncertainty, with_unit};
use crate::report::view::HistoryView;
use axes::draw_axes;
use crossing::{crossing_words, draw_crossings};
use curve::draw_curve;
use dense::is_dense;
use extent::extent;
use layout::{Layout, WIDTH, bottom, has_strip, has_values, height, strips};
use other_axis::{OtherTicks, draw_other_axis, other_axis};
pub(crate) use places::Places;
use probability::{draw_due_lines, draw_strip};
use readings::{BROKEN, draw_readings, is_long};
use residuals::draw_residuals;
use tolerance::draw_tolerance;
use under_axis::{draw_brackets, draw_key};
use value_in_use::{draw_values, on_one_scale};

/// Histories with more events than this name them in the key, not one by one.
const MOST_FLAGS: usize = 12;

/// Ticks of the axis of errors.
const MOST_TICKS: usize = 7;

/// SVG of one history, 840 × 420 pixels, and a strip more for the probability in tolerance and one for the
/// residuals, where they are known.
pub fn history_chart(view: &HistoryView) -> String {
    placed_history_chart(view).0
}

/// The same, and where its checks stand on it.
pub(crate) fn placed_history_chart(view: &HistoryView) -> (String, Places) {
    let view = &*on_one_scale(view);
    let title = title(view);
    let size = (WIDTH as u32, height(view) as u32);
    let mut drawn = Places::default();
    let svg = sheet(size, &title, &description(view), |canvas| {
        let head = heading(canvas, &title, &subtitle(view), WIDTH);
        let layout = draw_plot(canvas, view, head + 4.0);
        drawn = places::places(view, &layout);
    });
    (svg, drawn)
}

/// The unit of the axis of errors, and how many of it one of the history's own is.
pub(crate) fn axis_unit(view: &HistoryView) -> (f64, String) {
    let view = &*on_one_scale(view);
    let extent = extent(view);
    let axis = value_axis(extent.y.0, extent.y.1, &view.unit, MOST_TICKS);
    let (times, unit) = axis.unit_beside(&view.unit);
    (times, unit.to_string())
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
            parts.push(text);
        }
    };
    // The title names the point where it begins with the history's whole name.
    if view.point.is_empty() || !title(view).starts_with(&view.name()) {
        part(view.point.clone());
    }
    match few_checks(view) {
        Some(words) => part(words.into()),
        None => part(count(view.readings.len(), "check")),
    }
    part(crossing_words(view));
    if let Some((readings, low, high)) = view.moved {
        let size = |change: f64| with_unit(&significant(change, 3), &view.unit);
        let by = match low == high {
            true => size(low),
            false => format!("{} to {}", size(low), size(high)),
        };
        part(format!(
            "{} of earlier sources drawn moved by {by}",
            count(readings, "reading")
        ));
    }
    if is_dense(view) {
        part("by column: median, 5 to 95\u{a0}%, extremes".into());
    }
    if !view.curve.is_empty() && !view.model.is_empty() {
        let drift = if view.drift_from_class {
            ", drift borrowed from the class (dashed)"
        } else {
            ""
        };
        part(format!("model {}{drift}", view.model));
        part(format!("bands at {}", percent(view.level)));
    }
    if view.values.iter().any(|step| step.counted_from.is_some()) {
        part("counted from the first value in use".into());
    }
    if view.last_tolerance() == (None, None) {
        part("no tolerance given".into());
    }
    parts.join("  ·  ")
}

/// What no, one or two checks allow, in words.
fn few_checks(view: &HistoryView) -> Option<&'static str> {
    let values = view.readings.iter().filter(|r| !r.value.is_nan()).count();
    match (values, view.curve.is_empty(), view.drift_from_class) {
        (0, ..) if view.readings.is_empty() => Some("no check"),
        (0, ..) => Some("only outcomes were kept: no values, one mark a check"),
        (1, _, true) => Some("one check: the drift shown is the class's, not its own"),
        (1, ..) => Some("one check: no drift can be estimated"),
        (2, true, _) => Some("two checks: no drift can be estimated without their u"),
        (2, false, true) => Some("two checks: the drift shown is mostly the class's"),
        (2, false, false) => Some("two checks: the bands assume that their stated u is right"),
        _ => None,
    }
}

fn description(view: &HistoryView) -> String {
    let (mut days, mut values) = (Range::EMPTY, Range::EMPTY);
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
        let resolution = 0.1 * (values.1 - values.0);
        let shown = |value| to_uncertainty(value, resolution);
        let (low, high) = (shown(values.0), shown(values.1));
        text += &format!(", errors from {low} to {}", with_unit(&high, &view.unit));
    }
    let out = view.readings.iter().filter(|r| r.out_of_tolerance).count();
    text += &format!(", {out} out of tolerance.");
    if let Some(other) = &view.other_axis {
        let size = with_unit(&significant(other.factor, 4), &other.unit);
        text += &format!(" Axis at the right: 1\u{a0}{} is {size}.", view.unit);
    }
    text + &format!(" {}", view.reason)
}

fn draw_plot(canvas: &mut Canvas<'_>, view: &HistoryView, head: f64) -> Layout {
    let other = other_axis(view, extent(view).y);
    let (layout, flags, unnamed) = lay_out(view, head, other.as_ref());
    draw_future(canvas, view, &layout);
    draw_due_lines(canvas, view, &layout);
    draw_axes(canvas, view, &layout);
    if let Some(axis) = &other {
        draw_other_axis(canvas, axis, &layout);
    }
    draw_event_lines(canvas, view, &layout);
    for placed in &flags {
        let baseline = layout.top - 5.0 - ROW * placed.row as f64;
        let stroke = Stroke(placed.flag.ink, 0.75, Dash::Solid);
        layout.down(canvas, placed.flag.x, baseline + 3.0, stroke);
        canvas.label(
            &placed.flag.text,
            (placed.left, baseline),
            placed.flag.ink,
            Anchor::Start,
        );
    }
    // Many dots would hide the fit, a few must not be hidden by it.
    let mut labels = match has_values(view) {
        true => draw_tolerance(canvas, view, &layout),
        false => Vec::new(),
    };
    labels.extend(draw_values(canvas, view, &layout));
    if is_long(view) {
        draw_readings(canvas, view, &layout);
    }
    labels.extend(draw_curve(canvas, view, &layout));
    if !is_long(view) {
        draw_readings(canvas, view, &layout);
    }
    draw_crossings(canvas, view, &layout);
    let ends = (layout.top + 4.0, layout.bottom - 4.0);
    draw_side_labels(canvas, labels, layout.side, ends.0, ends.1);
    if has_strip(view) {
        draw_strip(canvas, view, &layout);
    }
    if layout.foot > layout.probability_foot {
        draw_residuals(canvas, view, &layout);
    }
    draw_brackets(canvas, view, &layout);
    draw_key(canvas, view, unnamed, MOST_FLAGS);
    layout
}

/// Where everything stands; the flags above the plot, and how many events have no flag.
fn lay_out(
    view: &HistoryView,
    head: f64,
    other: Option<&OtherTicks>,
) -> (Layout, Vec<PlacedFlag>, usize) {
    let extent = extent(view);
    let (left, side, bottom) = (72.0, 700.0, bottom(view));
    let [probability, residuals] = strips(view);
    let right = side - other.map_or(0.0, |axis| axis.room());
    let x = Scale::new(extent.x, (left, right));
    let (flags, unnamed) = place_flags(flags(view, &x), 2, left, other.map_or(826.0, |_| right));
    let rows = flags.iter().map(|f| f.row + 1).max().unwrap_or(1);
    let top = head + ROW * rows as f64 + 4.0;
    let above = top + if extent.broken_above { BROKEN } else { 0.0 };
    let below = bottom - if extent.broken_below { BROKEN } else { 0.0 };
    let y = Scale::new(extent.y, (below, above));
    let axis = value_axis(extent.y.0, extent.y.1, &view.unit, MOST_TICKS);
    let layout = Layout {
        left,
        right,
        top,
        bottom,
        probability_foot: bottom + probability,
        foot: bottom + probability + residuals,
        side,
        x,
        y,
        axis,
        extent,
    };
    (layout, flags, unnamed)
}

/// The as-of date and the events, as words above the plot.
fn flags(view: &HistoryView, x: &Scale) -> Vec<Flag> {
    let mut flags: Vec<Flag> = Vec::new();
    if view.usage_unit.is_none() && x.holds(view.as_of) {
        let text = format!("as of {}", iso_date(view.as_of));
        flags.push(Flag::new(x.at(view.as_of), text, Ink::Text));
    }
    let events = view.readings.iter().filter(|r| !r.event.is_empty());
    if events.clone().count() <= MOST_FLAGS {
        flags.extend(events.map(|r| Flag::new(x.at(r.day), r.event, Ink::Grid)));
    }
    flags
}

/// A hairline at each event, also where its word found no room.
fn draw_event_lines(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) {
    let mut last = f64::NEG_INFINITY;
    for reading in view.readings.iter().filter(|r| !r.event.is_empty()) {
        let x = layout.x.at(reading.day);
        // Lines closer than a pixel are one line to the eye.
        if x.is_finite() && x - last >= 1.0 {
            layout.down(canvas, x, layout.top, Stroke(Ink::Grid, 0.5, Dash::Solid));
            last = x;
        }
    }
}

fn draw_future(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) {
    let from = layout.x.at(view.as_of).max(layout.left);
    if view.usage_unit.is_none() && from < layout.right {
        canvas.rectangle(
            (from, layout.top),
            (layout.right, layout.foot),
            Ink::Grid,
            0.09,
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;

    #[test]
    fn moved_readings_are_said_on_the_chart() {
        let mut view = crate::report::samples::history(5);
        says_not!(history_chart(&view), "earlier sources");
        view.moved = Some((3, -0.2, 0.1));
        let words = "3\u{a0}readings of earlier sources drawn moved by";
        says!(subtitle(&view), words, "to 0.1");
    }

    #[test]
    fn svg_of_three_checks() {
        insta::assert_snapshot!(history_chart(&samples::history(3)));
    }

    #[test]
    fn one_and_two_checks_say_what_they_allow() {
        says!(
            history_chart(&samples::history(1)),
            "no drift can be estimated"
        );
        says!(
            history_chart(&samples::history(2)),
            "assume that their stated u is right"
        );
    }
}
