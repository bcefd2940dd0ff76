/*! Before and after: the probability in tolerance with the due date of the interval that a person
approved and that of the one before it. */

use super::canvas::{Canvas, Dash, Stroke, sheet};
use super::frame::{Frame, heading};
use super::labels::{Flag, ROW, SideLabel, draw_flags};
use super::palette::Ink;
use super::scale::Scale;
use crate::report::text::{fixed, iso_date, percent};
use crate::report::view::{ApprovedEnd, ApprovedView};

/// The lowest probability at the foot of the plot, where nothing lies below it.
const LEAST_SPAN: f64 = 0.1;

/// Probability in tolerance by day with both due dates.
pub(crate) fn approved_chart(view: &ApprovedView) -> String {
    let title = title(view);
    let second = "probability in tolerance by what is known today, from the last check on";
    sheet((840, 260), &title, second, |canvas| {
        let top = heading(canvas, &title, second, 840.0) + 2.0 * ROW + 8.0;
        if let Some(frame) = frame(view, top) {
            draw(canvas, view, &frame);
        }
    })
}

fn title(view: &ApprovedView) -> String {
    let days = |end: &ApprovedEnd| fixed(end.days.round(), 0);
    let (before, after) = (days(&view.before), days(&view.after));
    let lead = format!("{}: approved {after} d instead of {before} d", view.name);
    match (view.before.in_tolerance, view.after.in_tolerance) {
        (Some(was), Some(is)) => format!(
            "{lead}; in tolerance when due {} instead of {}",
            percent(is),
            percent(was)
        ),
        _ => lead,
    }
}

fn frame(view: &ApprovedView, top: f64) -> Option<Frame> {
    let (first, last) = (view.curve.first()?.0, view.curve.last()?.0);
    let all = view.curve.iter().map(|p| p.1).chain([view.target]);
    let lowest = all.fold(1.0 - LEAST_SPAN, f64::min);
    (last > first).then_some(Frame {
        x: Scale::new((first, last), (72.0, 700.0)),
        y: Scale::new(((lowest - 0.02).max(0.0), 1.0), (226.0, top)),
    })
}

fn draw(canvas: &mut Canvas<'_>, view: &ApprovedView, frame: &Frame) {
    let top = frame.y.range.1;
    frame.share_ticks(canvas);
    frame.date_axis(canvas);
    frame.horizontal(canvas, view.target, Stroke(Ink::Limit, 1.25, Dash::Long));
    let labels = vec![SideLabel::new(
        frame.y.held(view.target),
        format!("target {}", percent(view.target)),
        Ink::Limit,
    )];
    frame.side_labels(canvas, labels);
    canvas.path(
        &frame.pixels(view.curve.iter().copied()),
        Stroke(Ink::Text, 1.75, Dash::Solid),
    );
    let mut flags = Vec::new();
    let today = (view.as_of, "as of", Ink::Text, Dash::Solid);
    let ends = [
        (view.before.due, "before: due", Ink::Grid, Dash::Dots),
        (view.after.due, "approved: due", Ink::Plan, Dash::Dots),
    ];
    for (day, words, ink, dash) in ends.into_iter().chain([today]) {
        if frame.x.holds(day) {
            frame.vertical(canvas, day, Stroke(ink, 1.0, dash));
            let text = format!("{words} {}", iso_date(day));
            flags.push(Flag::new(frame.x.at(day), text, ink));
        }
    }
    if let Some(p) = view
        .before
        .in_tolerance
        .filter(|_| frame.x.holds(view.before.due))
    {
        let stroke = Stroke(Ink::Grid, 1.5, Dash::Solid);
        canvas.ring(frame.held(view.before.due, p), 4.0, stroke);
    }
    if let Some(p) = view
        .after
        .in_tolerance
        .filter(|_| frame.x.holds(view.after.due))
    {
        canvas.diamond(frame.held(view.after.due, p), 5.0, Ink::Plan);
    }
    let across = (frame.x.range.0 + 60.0, 826.0);
    draw_flags(canvas, flags, 2, across, top - 5.0);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples::approved;

    #[test]
    fn the_title_says_what_the_approval_changed() {
        let svg = approved_chart(&approved());
        says!(svg, "approved 420 d instead of 300 d");
        assert!(svg.contains("before: due") && svg.contains("approved: due"));
        says!(approved_chart(&ApprovedView::default()), "</svg>");
    }
}
