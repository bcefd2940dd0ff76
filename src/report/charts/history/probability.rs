/*! The strip under a history's plot: probability in tolerance on the same axis, with its target. */

use super::layout::{HEADING, Layout};
use crate::report::charts::canvas::{Anchor, Canvas, Dash, Pixel, Stroke};
use crate::report::charts::labels::{SideLabel, draw_side_labels};
use crate::report::charts::palette::Ink;
use crate::report::charts::scale::{Scale, value_axis};
use crate::report::text::percent;
use crate::report::view::{Action, CurvePoint, HistoryView};

/// The lowest probability at the foot of the strip: what is surely good does not fill it with
/// differences of a thousandth.
const LEAST_SPAN: f64 = 0.1;

/// Draws the strip between the plot and the axis below it.
pub(super) fn draw_strip(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) {
    let inside = |p: &&CurvePoint| layout.x.holds(p.day) && p.known_probability().is_some();
    let points: Vec<&CurvePoint> = view.curve.iter().filter(inside).collect();
    let y = scale(view, &points, layout);
    canvas.label(
        "probability in tolerance",
        (layout.left, layout.bottom + HEADING - 6.0),
        Ink::Text,
        Anchor::Start,
    );
    draw_ticks(canvas, &y, layout);
    let mut labels = Vec::new();
    if let Some(target) = view.target {
        let at = y.at(target);
        let stroke = Stroke(Ink::Limit, 1.25, Dash::Long);
        canvas.line((layout.left, at), (layout.right, at), stroke);
        labels.push(SideLabel::new(
            at,
            format!("target {}", percent(target)),
            Ink::Limit,
        ));
    }
    for segment in points.chunk_by(|a, b| a.segment == b.segment) {
        let pixel = |p: &&CurvePoint| Some((layout.x.at(p.day), y.held(p.known_probability()?)));
        let line: Vec<Pixel> = segment.iter().filter_map(pixel).collect();
        canvas.path(&line, Stroke(Ink::Text, 1.5, Dash::Solid));
    }
    draw_side_labels(
        canvas,
        labels,
        layout.side,
        y.range.1 + 4.0,
        layout.probability_foot,
    );
}

fn scale(view: &HistoryView, points: &[&CurvePoint], layout: &Layout) -> Scale {
    let all = points
        .iter()
        .filter_map(|p| p.known_probability())
        .chain(view.target);
    let lowest = all.fold(1.0 - LEAST_SPAN, f64::min);
    Scale::new(
        ((lowest - 0.02).max(0.0), 1.0),
        (layout.probability_foot, layout.bottom + HEADING),
    )
}

fn draw_ticks(canvas: &mut Canvas<'_>, y: &Scale, layout: &Layout) {
    for tick in value_axis(100.0 * y.domain.0, 100.0, "", 3).ticks {
        let at = y.at(tick.at / 100.0);
        canvas.rectangle(
            (layout.left, at - 0.25),
            (layout.right, at + 0.25),
            Ink::Grid,
            0.25,
        );
        let label = (layout.left - 7.0, at + 4.0);
        let text = percent(tick.at / 100.0);
        canvas.label(&text, label, Ink::Text, Anchor::End);
    }
}

/// Thin lines through plot and strip on the due date in force and on the proposed one; none through those of
/// what is withdrawn, which no date permits to be used.
pub(super) fn draw_due_lines(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) {
    let withdrawn = view.action == Action::Withdraw;
    if view.usage_unit.is_some() || withdrawn {
        return;
    }
    let proposes = !view.action.needs_person();
    let interval = view.last_calibration.zip(view.current_interval_days);
    let ends = [
        (
            view.in_force_due
                .or(interval.map(|(from, days)| from + days)),
            Ink::Grid,
        ),
        (view.due_day.filter(|_| proposes), Ink::Plan),
    ];
    for (day, ink) in ends {
        if let Some(day) = day.filter(|day| layout.x.holds(*day)) {
            let x = layout.x.at(day);
            let stroke = Stroke(ink, 1.0, Dash::Dots);
            layout.down(canvas, x, layout.top, stroke);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::charts::history_chart;
    use crate::report::samples;

    #[test]
    fn what_a_person_has_to_decide_has_no_line_of_a_proposal() {
        let lines = |action: Action| {
            let mut view = samples::history(12);
            view.action = action;
            view.due_day = view.in_force_due.map(|due| due - 90.0);
            view.interval_days = view.current_interval_days.map(|days| days - 90.0);
            let plan = "<line stroke=\"#6B3FA0\"";
            let svg = history_chart(&view);
            (svg.matches(plan).count(), svg.contains(">proposed"))
        };
        assert_eq!(lines(Action::Review), (0, false));
        assert_eq!(lines(Action::Withdraw), (0, false));
        let (drawn, has_level) = lines(Action::Shorten);
        assert!(drawn > 2 && has_level, "{drawn}");
    }

    #[test]
    fn the_strip_stands_only_where_a_probability_is_known() {
        let mut view = samples::history(12);
        says!(history_chart(&view), "probability in tolerance");
        view.curve.iter_mut().for_each(|p| p.in_tolerance = None);
        let without = history_chart(&view);
        says_not!(without, "probability in tolerance");
        view.residuals.clear();
        says!(history_chart(&view), "height=\"420\"");
    }
}
