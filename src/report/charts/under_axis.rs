/*! Below a history's axis: both intervals as brackets, the due date, the key of marks. */

use super::canvas::{Anchor, Canvas, Dash, Stroke};
use super::extent::BAR_COVERAGE;
use super::history::{Layout, SIZE};
use super::labels::LABEL_SIZE;
use super::lettering::text_width;
use super::palette::Ink;
use crate::report::text::{count, fixed, iso_date};
use crate::report::view::HistoryView;

/// Draws today's interval and the proposed one from the last calibration on, and the due date.
pub(super) fn draw_brackets(canvas: &mut Canvas<'_>, view: &HistoryView, layout: &Layout) {
    if view.usage_unit.is_some() {
        return;
    }
    let first = layout.bottom + 32.0;
    if let (Some(start), Some(days)) = (view.last_calibration, view.current_interval_days) {
        let text = format!("today's interval {}", days_text(days));
        bracket(
            canvas,
            layout,
            (start, start + days),
            first,
            Ink::Grid,
            &text,
        );
    }
    if let (Some(start), Some(days)) = (view.last_calibration, view.interval_days) {
        let due = view.due_day.unwrap_or(start + days);
        let late = if due < view.as_of { ", overdue" } else { "" };
        let text = format!("proposed {}, due {}{late}", days_text(days), iso_date(due));
        bracket(
            canvas,
            layout,
            (start, start + days),
            first + 18.0,
            Ink::Plan,
            &text,
        );
    }
    if let Some(due) = view.due_day {
        canvas.diamond((layout.x.held(due), layout.bottom), 6.0, Ink::Plan);
    }
}

fn days_text(days: f64) -> String {
    format!("{}\u{a0}d", fixed(days.round(), 0))
}

fn bracket(
    canvas: &mut Canvas<'_>,
    layout: &Layout,
    days: (f64, f64),
    y: f64,
    ink: Ink,
    text: &str,
) {
    let (start, end) = (layout.x.held(days.0), layout.x.held(days.1));
    let stroke = Stroke(ink, 1.75, Dash::Solid);
    canvas.line((start, y), (end, y), stroke);
    canvas.line((start, y - 4.0), (start, y + 4.0), stroke);
    canvas.line((end, y - 4.0), (end, y + 4.0), stroke);
    let width = text_width(text, LABEL_SIZE);
    let (at, anchor) = if end + 8.0 + width < f64::from(SIZE.0) - 6.0 {
        (end + 8.0, Anchor::Start)
    } else if start - 8.0 - width > 6.0 {
        (start - 8.0, Anchor::End)
    } else {
        let middle = 0.5 * (start + end);
        let (left, right) = (middle - 0.5 * width - 6.0, middle + 0.5 * width + 6.0);
        canvas.rectangle((left, y - 5.0), (right, y + 5.0), Ink::Ground, 1.0);
        (middle, Anchor::Middle)
    };
    canvas.text(text, (at, y + 4.0), LABEL_SIZE, ink, anchor);
}

/// One line that names the marks in use; `unnamed` events found no room for their words.
pub(super) fn draw_key(canvas: &mut Canvas<'_>, view: &HistoryView, unnamed: usize) {
    let y = f64::from(SIZE.1) - 12.0;
    let mut x = 20.0;
    let mut entry = |canvas: &mut Canvas<'_>, text: &str, mark: &dyn Fn(&mut Canvas<'_>, f64)| {
        mark(canvas, x);
        canvas.text(text, (x + 10.0, y), LABEL_SIZE, Ink::Text, Anchor::Start);
        x += 10.0 + text_width(text, LABEL_SIZE) + 18.0;
    };
    let any = |test: fn(&crate::report::view::ReadingView) -> bool| view.readings.iter().any(test);
    let middle = y - 4.0;
    if any(|r| !r.value.is_nan()) {
        let bars = if any(|r| r.u > 0.0) {
            format!("as found, bar ± U (k = {BAR_COVERAGE})")
        } else {
            "as found, u not stated".into()
        };
        entry(canvas, &bars, &|c, x| c.dot((x, middle), 3.0, Ink::Reading));
    }
    if any(|r| r.as_left.is_some()) {
        entry(canvas, "as left", &|c, x| {
            c.ring((x, middle), 3.0, Stroke(Ink::Reading, 1.25, Dash::Solid))
        });
    }
    if any(|r| r.out_of_tolerance) {
        entry(canvas, "out of tolerance", &|c, x| {
            c.triangle((x, middle), 5.0, Ink::Alarm, true)
        });
    }
    if any(|r| r.outlier) {
        entry(canvas, "suspected outlier", &|c, x| {
            c.ring((x, middle), 6.0, Stroke(Ink::Text, 1.25, Dash::Solid))
        });
    }
    if unnamed > 0 {
        let text = format!("{} not named for want of room", count(unnamed, "event"));
        entry(canvas, &text, &|c, x| {
            c.line(
                (x, middle - 6.0),
                (x, middle + 6.0),
                Stroke(Ink::Grid, 0.75, Dash::Solid),
            )
        });
    }
}
