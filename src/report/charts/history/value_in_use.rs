/*! Values in use, as steps: what the errors of a history count from, or what it was left at.

The errors of an item whose value in use changes count from another zero after each change.
Its chart shows them on one scale, counted from the first value: the drift runs on through
an adoption, and the value in use and the limits about it step.
*/

use super::layout::Layout;
use crate::report::charts::canvas::{Canvas, Dash, Stroke};
use crate::report::charts::labels::SideLabel;
use crate::report::charts::palette::Ink;
use crate::report::view::{HistoryView, ToleranceStep, ValueStep};
use std::borrow::Cow;

/// Moments closer than this are one, days: ten seconds.
const SAME_MOMENT: f64 = 1e-4;

/// Value in use that errors of the moment `day` count from; before the adoption at that very
/// moment where `before` is set.
fn counted_from(steps: &[ValueStep], day: f64, before: bool) -> f64 {
    let slack = if before { -SAME_MOMENT } else { SAME_MOMENT };
    let held = steps
        .iter()
        .rfind(|s| s.counted_from.is_some_and(|from| from <= day + slack));
    held.map_or(0.0, |step| step.value)
}

/// The view on one scale: as it is, unless its errors count from values that change.
pub(super) fn on_one_scale(view: &HistoryView) -> Cow<'_, HistoryView> {
    let steps = &view.values;
    if !steps.iter().any(|step| step.counted_from.is_some()) {
        return Cow::Borrowed(view);
    }
    let mut one = view.clone();
    for reading in &mut one.readings {
        let left = reading.as_left.take();
        reading.value += counted_from(steps, reading.day, left.is_some());
        // On one scale a reading that was only counted anew is left as it was found.
        let after = left.map(|left| left + counted_from(steps, reading.day, false));
        let moved = |left: &f64| (left - reading.value).abs() > 0.5 * reading.u;
        reading.as_left = after.filter(moved);
    }
    for point in &mut one.curve {
        let zero = counted_from(steps, point.day, false);
        point.expected += zero;
        for band in [&mut point.confidence, &mut point.prediction] {
            *band = (band.0 + zero, band.1 + zero);
        }
    }
    one.tolerance = stepped(&view.tolerance, steps);
    Cow::Owned(one)
}

/// Limits about the value in use, which steps.
fn stepped(tolerance: &[ToleranceStep], steps: &[ValueStep]) -> Vec<ToleranceStep> {
    let mut days: Vec<f64> = tolerance.iter().map(|t| t.from).collect();
    if !days.is_empty() {
        days.extend(steps.iter().map(|s| s.from).filter(|day| day.is_finite()));
    }
    days.sort_by(f64::total_cmp);
    days.dedup();
    let at = |day: f64| {
        let limits = tolerance.iter().rfind(|t| t.from <= day);
        let limits = limits.or(tolerance.first())?;
        let value = steps
            .iter()
            .rfind(|s| s.from <= day)
            .map_or(0.0, |s| s.value);
        Some(ToleranceStep::new(
            day,
            limits.lower.map(|limit| limit + value),
            limits.upper.map(|limit| limit + value),
        ))
    };
    days.into_iter().filter_map(at).collect()
}

/// Draws the values as a step line; returns its label for the right edge, where the last one
/// is still in use.
pub(super) fn draw_values(
    canvas: &mut Canvas<'_>,
    view: &HistoryView,
    layout: &Layout,
) -> Option<SideLabel> {
    let stroke = Stroke(Ink::Grid, 1.5, Dash::Solid);
    for run in view.values.chunk_by(|a, b| a.until >= b.from) {
        let ends = |step: &ValueStep| {
            let y = layout.y.held(step.value);
            [
                (layout.x.held(step.from), y),
                (layout.x.held(step.until), y),
            ]
        };
        let corners: Vec<(f64, f64)> = run.iter().flat_map(ends).collect();
        canvas.path(&corners, stroke);
    }
    let last = view.values.last().filter(|last| last.until.is_infinite())?;
    let text = match last.counted_from {
        Some(_) => "value in use",
        None => "value as left",
    };
    Some(SideLabel::new(layout.y.held(last.value), text, Ink::Grid))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::charts::history_chart;
    use crate::report::samples;
    use crate::report::view::ReadingView;

    /// Readings that rise by one a day; on day 2 the value in use is set to what was read.
    fn adopted() -> HistoryView {
        let reading = |day: f64, value: f64, as_left: Option<f64>| ReadingView {
            day,
            value,
            u: 0.1,
            as_left,
            ..Default::default()
        };
        let mut view = samples::history(3);
        view.readings = vec![
            reading(0.0, 0.0, None),
            reading(1.0, 1.0, None),
            reading(2.0, 2.0, Some(0.0)),
            reading(3.0, 1.0, None),
        ];
        view.tolerance = vec![ToleranceStep::new(0.0, Some(-5.0), Some(5.0))];
        let step = |from, until, counted_from, value| ValueStep {
            from,
            until,
            counted_from: Some(counted_from),
            value,
        };
        view.values = vec![
            step(f64::NEG_INFINITY, 2.5, f64::NEG_INFINITY, 0.0),
            step(2.5, f64::INFINITY, 2.0, 2.0),
        ];
        view
    }

    #[test]
    fn the_drift_runs_on_through_an_adoption_and_the_limits_step() {
        let view = adopted();
        let one = on_one_scale(&view);
        let values: Vec<f64> = one.readings.iter().map(|r| r.value).collect();
        assert_eq!(values, [0.0, 1.0, 2.0, 3.0]);
        assert!(one.readings.iter().all(|r| r.as_left.is_none()));
        let limits: Vec<_> = one.tolerance.iter().map(|t| (t.from, t.lower)).collect();
        assert_eq!(limits, [(0.0, Some(-5.0)), (2.5, Some(-3.0))]);
        let last = one.curve.last().unwrap().expected - view.curve.last().unwrap().expected;
        assert_eq!(last, 2.0);
        says!(history_chart(&view), "value in use");
    }

    #[test]
    fn values_as_left_are_drawn_and_shift_nothing() {
        let mut view = adopted();
        for step in &mut view.values {
            step.counted_from = None;
        }
        assert_eq!(*on_one_scale(&view), view);
        says!(history_chart(&view), "value as left");
    }
}
