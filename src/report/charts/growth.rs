/*! Growth of uncertainty: what the value of an item is worth from its last check to its due date,
and which part makes it worse. */

use super::canvas::{Anchor, Canvas, Dash, Stroke, sheet};
use super::frame::{Frame, heading};
use super::labels::{Flag, ROW, SideLabel, draw_flags};
use super::palette::Ink;
use super::scale::{Scale, value_axis};
use crate::report::text::iso_date;
use crate::report::view::{GROWTH_PARTS, GrowthPoint, GrowthView};

/// Each part's line, told apart by its dashes and its name.
const LINES: [Stroke; 5] = [
    Stroke(Ink::Reading, 1.25, Dash::Solid),
    Stroke(Ink::Reading, 1.5, Dash::Long),
    Stroke(Ink::Reading, 1.5, Dash::Short),
    Stroke(Ink::Reading, 1.75, Dash::Dots),
    Stroke(Ink::Grid, 1.25, Dash::Solid),
];

/// A part below this share of the whole lies on the axis: it is not drawn.
const LEAST_SHARE: f64 = 0.01;

/// Standard uncertainty of the corrected value by day, with its parts.
pub(crate) fn growth_chart(view: &GrowthView) -> String {
    let title = title(view);
    let second = "standard uncertainty u of the value with its correction; thin: its parts, which add in squares";
    sheet((840, 300), &title, second, |canvas| {
        let top = heading(canvas, &title, second, 840.0) + ROW + 10.0;
        if let Some(frame) = frame(view, top) {
            draw(canvas, view, &frame);
        }
    })
}

/// The point at the date to act on, or today where that is past or none is set.
fn end(view: &GrowthView) -> Option<(&GrowthPoint, bool)> {
    let due = view.in_force_due.or(view.due_day);
    let due = due.filter(|due| *due >= view.as_of);
    let day = due.unwrap_or(view.as_of);
    let before = view.points.partition_point(|p| p.day < day);
    let point = view.points.get(before).or(view.points.last())?;
    Some((point, due.is_some()))
}

fn title(view: &GrowthView) -> String {
    let (Some(first), Some((last, due))) = (view.points.first(), end(view)) else {
        return format!("{}: no value is stated", view.name);
    };
    // In the unit of the axis, which chooses its prefix.
    let axis = value_axis(0.0, last.total.max(first.total), &view.unit, 5);
    let u = |point: &GrowthPoint| axis.words(point.total).trim_start_matches('+').to_string();
    let when = if due { "when due" } else { "today" };
    let (from, to) = (u(first), u(last));
    if from == to {
        return format!("{}: u of its value stays at {from} until {when}", view.name);
    }
    let grown = |part: &usize| last.parts[*part].powi(2) - first.parts[*part].powi(2);
    let most = (0..GROWTH_PARTS.len()).max_by(|a, b| grown(a).total_cmp(&grown(b)));
    let by = most.map_or("", |part| GROWTH_PARTS[part]);
    format!(
        "{}: u of its value goes from {from} at the last check to {to} {when}, mostly by {by}",
        view.name
    )
}

fn frame(view: &GrowthView, top: f64) -> Option<Frame> {
    let (first, last) = (view.points.first()?, view.points.last()?);
    let most = view.points.iter().map(|p| p.total).fold(0.0, f64::max);
    let drawable = last.day > first.day && most > 0.0 && most.is_finite();
    drawable.then_some(Frame {
        x: Scale::new((first.day, last.day), (72.0, 700.0)),
        y: Scale::new((0.0, 1.06 * most), (266.0, top)),
    })
}

fn draw(canvas: &mut Canvas<'_>, view: &GrowthView, frame: &Frame) {
    let top = frame.y.range.1;
    let axis = value_axis(0.0, frame.y.domain.1, &view.unit, 5);
    frame.y_ticks(canvas, &axis.ticks);
    canvas.label(&axis.caption, (14.0, top - 9.0), Ink::Text, Anchor::Start);
    frame.date_axis(canvas);
    draw_days(canvas, view, frame);
    let mut labels = Vec::new();
    let mut line =
        |canvas: &mut Canvas<'_>, of: &dyn Fn(&GrowthPoint) -> f64, stroke: Stroke, name: &str| {
            let pixels = frame.pixels(view.points.iter().map(|p| (p.day, of(p))));
            canvas.path(&pixels, stroke);
            labels.extend(
                pixels
                    .last()
                    .map(|end| SideLabel::new(end.1, name, stroke.0)),
            );
        };
    let least = LEAST_SHARE * frame.y.domain.1;
    for (part, stroke) in LINES.into_iter().enumerate() {
        if view.points.iter().any(|p| p.parts[part] > least) {
            line(canvas, &|p| p.parts[part], stroke, GROWTH_PARTS[part]);
        }
    }
    let whole = Stroke(Ink::Text, 2.0, Dash::Solid);
    line(canvas, &|p| p.total, whole, "u, all parts");
    frame.side_labels(canvas, labels);
}

/// Today and both due dates, named above the plot.
fn draw_days(canvas: &mut Canvas<'_>, view: &GrowthView, frame: &Frame) {
    let proposed = view.due_day.filter(|due| Some(*due) != view.in_force_due);
    let days = [
        (Some(view.as_of), "as of", Ink::Text, Dash::Solid),
        (view.in_force_due, "due", Ink::Grid, Dash::Dots),
        (proposed, "proposed", Ink::Plan, Dash::Dots),
    ];
    let inside = |day: Option<f64>| day.filter(|day| frame.x.holds(*day));
    let mut flags = Vec::new();
    for (day, words, ink, dash) in days {
        if let Some(day) = inside(day) {
            frame.vertical(canvas, day, Stroke(ink, 1.0, dash));
            flags.push(Flag::new(
                frame.x.at(day),
                format!("{words} {}", iso_date(day)),
                ink,
            ));
        }
    }
    let (left, top) = (frame.x.range.0 + 60.0, frame.y.range.1);
    draw_flags(canvas, flags, 1, (left, 826.0), top - 5.0);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples::growth;

    #[test]
    fn the_title_names_the_part_that_grows_most() {
        let svg = growth_chart(&growth(1.0, "mK"));
        says!(svg, "when due, mostly by drift");
        let mut still = growth(1.0, "mK");
        let first = still.points[0];
        still
            .points
            .iter_mut()
            .for_each(|p| (p.total, p.parts) = (first.total, first.parts));
        says!(growth_chart(&still), "stays at");
        says!(growth_chart(&GrowthView::default()), "no value is stated");
    }
}
