/*! Below a history's axis: both intervals as brackets, the due date, the key of marks. */

use super::dense::is_dense;
use super::extent::BAR_COVERAGE;
use super::layout::{Layout, WIDTH, height};
use crate::report::charts::canvas::{Anchor, Canvas, Dash, LABEL_SIZE, Stroke};
use crate::report::charts::lettering::text_width;
use crate::report::charts::palette::Ink;
use crate::report::text::{fixed, iso_date};
use crate::report::view::{Action, HistoryView, ReadingView};
use std::collections::BTreeMap;

/// Draws the interval in force and the one proposed from the last calibration on, and the due date
/// in force; nothing of what is withdrawn, which no date permits to be used.
pub(super) fn draw_brackets(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) {
    if view.usage_unit.is_some() || view.action == Action::Withdraw {
        return;
    }
    let first = layout.foot + 32.0;
    let in_force = view.current_interval_days;
    if let (Some(start), Some(days)) = (view.last_calibration, in_force) {
        let due = view.in_force_due.unwrap_or(start + days);
        let late = due < view.as_of && !view.away;
        let late = if late { ", overdue" } else { "" };
        let text = format!("in force {}, due {}{late}", days_text(days), iso_date(due));
        let span = Span {
            start,
            end: start + days,
            due,
        };
        bracket(canvas, layout, span, first, Ink::Grid, &text);
    }
    let proposed = view
        .interval_days
        .filter(|_| view.interval_days != in_force && !view.action.needs_person());
    if let (Some(start), Some(days)) = (view.last_calibration, proposed) {
        let due = view.due_day.unwrap_or(start + days);
        let now = match due == view.as_of && due > start + days {
            true if view.away => ": calibrate before it serves again",
            true => ": calibrate now",
            false => "",
        };
        let text = format!("proposed {}, due {}{now}", days_text(days), iso_date(due));
        let span = Span {
            start,
            end: start + days,
            due,
        };
        bracket(canvas, layout, span, first + 18.0, Ink::Plan, &text);
    }
    if let Some(due) = view.in_force_due.or(view.due_day) {
        canvas.diamond((layout.x.held(due), layout.foot), 6.0, Ink::Plan);
    }
}

fn days_text(days: f64) -> String {
    format!("{}\u{a0}d", fixed(days.round(), 0))
}

/// An interval with its due date, which is a later day where the interval had ended before it was decided.
#[derive(Clone, Copy)]
struct Span {
    start: f64,
    end: f64,
    due: f64,
}

/// A solid line as long as the interval, with dots on to the due date, where its words begin.
fn bracket(canvas: &mut Canvas<'_>, layout: &Layout, span: Span, y: f64, ink: Ink, text: &str) {
    let (start, own_end) = (layout.x.held(span.start), layout.x.held(span.end));
    let end = layout.x.held(span.due).max(own_end);
    let stroke = Stroke(ink, 1.75, Dash::Solid);
    canvas.line((start, y - 4.0), (start, y + 4.0), stroke);
    canvas.line((end, y - 4.0), (end, y + 4.0), stroke);
    let width = text_width(text, LABEL_SIZE);
    let middle = 0.5 * (start + end);
    let (at, anchor, gap) = if end + 8.0 + width < WIDTH - 6.0 {
        (end + 8.0, Anchor::Start, (end, end))
    } else if start - 8.0 - width > 6.0 {
        (start - 8.0, Anchor::End, (end, end))
    } else {
        // Within the bracket, which leaves room for its words.
        let half = 0.5 * width + 6.0;
        (middle, Anchor::Middle, (middle - half, middle + half))
    };
    for (from, to) in [(start, gap.0), (gap.1, end)] {
        let solid = to.min(own_end);
        if from < solid {
            canvas.line((from, y), (solid, y), stroke);
        }
        let dotted = from.max(own_end);
        if dotted < to {
            canvas.line((dotted, y), (to, y), Stroke(ink, 1.75, Dash::Dots));
        }
    }
    canvas.label(text, (at, y + 4.0), ink, anchor);
}

/// One line that names the marks in use; events are counted here where `unnamed` of them
/// found no room for their words or there are more than `most`.
pub(super) fn draw_key(canvas: &mut Canvas<'_>, view: &HistoryView, unnamed: usize, most: usize) {
    let y = height(view) - 12.0;
    let mut x = 20.0;
    let mut entry = |canvas: &mut Canvas<'_>, text: &str, mark: &dyn Fn(&mut Canvas<'_>, f64)| {
        mark(canvas, x);
        canvas.label(text, (x + 10.0, y), Ink::Text, Anchor::Start);
        x += 10.0 + text_width(text, LABEL_SIZE) + 18.0;
    };
    let any = |test: fn(&ReadingView) -> bool| view.readings.iter().any(test);
    let middle = y - 4.0;
    if any(|r| !r.value.is_nan()) {
        let bars = match any(|r| r.u > 0.0) {
            _ if is_dense(view) => "as found, beyond 5 to 95 % of its column".into(),
            true => format!("as found, bar ± U (k = {BAR_COVERAGE})"),
            false => "as found, u not stated".into(),
        };
        entry(canvas, &bars, &|c, x| c.dot((x, middle), 3.0, Ink::Reading));
    }
    if any(|r| r.value.is_nan() && !r.out_of_tolerance) {
        entry(canvas, "in tolerance, no value kept", &|c, x| {
            c.square((x, middle), 3.0, Ink::Reading)
        });
    }
    if any(|r| r.as_left.is_some()) {
        let stroke = Stroke(Ink::Reading, 1.25, Dash::Solid);
        let carried = view.values.iter().any(|v| v.until.is_finite());
        let text = match carried {
            true => "as left, line to the next calibration",
            false => "as left",
        };
        entry(canvas, text, &|c, x| c.ring((x, middle), 3.0, stroke));
    }
    if any(|r| r.out_of_tolerance) {
        entry(canvas, "out of tolerance", &|c, x| {
            c.triangle((x, middle), 5.0, Ink::Alarm, true)
        });
    }
    if any(|r| r.outlier) {
        let stroke = Stroke(Ink::Text, 1.25, Dash::Solid);
        entry(canvas, "suspected outlier", &|c, x| {
            c.ring((x, middle), 6.0, stroke)
        });
    }
    let events = view.readings.iter().filter(|r| !r.event.is_empty()).count();
    if unnamed > 0 || events > most {
        let stroke = Stroke(Ink::Grid, 0.75, Dash::Solid);
        let mark = |c: &mut Canvas<'_>, x| c.line((x, middle - 6.0), (x, middle + 6.0), stroke);
        entry(canvas, &events_text(view), &mark);
    }
}

/// "40 × adjusted, 2 × shocked".
fn events_text(view: &HistoryView) -> String {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for reading in view.readings.iter().filter(|r| !r.event.is_empty()) {
        *counts.entry(reading.event).or_default() += 1;
    }
    let parts: Vec<String> = counts
        .iter()
        .map(|(event, n)| format!("{n} × {event}"))
        .collect();
    parts.join(", ")
}

#[cfg(test)]
mod tests {
    use crate::report::charts::history_chart;
    use crate::report::samples;
    use crate::report::view::Action;
    use crate::report::view::HistoryView;

    /// An interval that ended before the day on which it was decided is drawn on to its due date, which its
    /// words name; nothing is drawn under the axis of what is withdrawn.
    #[test]
    fn bars_end_on_the_day_that_their_words_name() {
        let sample = samples::history(12);
        let (as_of, start) = (sample.as_of, sample.last_calibration.unwrap());
        let drawn = |view: &HistoryView| {
            let svg = history_chart(view);
            // A quarter of a pixel is the unit of a drawing.
            let bars = "stroke=\"#6B3FA0\" stroke-width=\"7\" stroke-dasharray";
            (svg.matches(bars).count(), svg)
        };
        let shorter = |due: f64| HistoryView {
            action: Action::Shorten,
            interval_days: Some(20.0),
            due_day: Some(due),
            ..sample.clone()
        };
        assert!(as_of > start + 20.0);
        let (own, _) = drawn(&shorter(start + 20.0));
        let (dotted, svg) = drawn(&shorter(as_of));
        says!(svg, ": calibrate now");
        assert!(dotted > own, "{dotted} {own}");
        let mut withdrawn = shorter(as_of);
        withdrawn.action = Action::Withdraw;
        let (_, svg) = drawn(&withdrawn);
        assert!(!svg.contains(">in force") && !svg.contains(">proposed"));
    }
}
