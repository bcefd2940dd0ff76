/*! What steps through the time of a history: values as left, and tolerance. */

use super::case::Case;
use super::views::limits;
use crate::drift::Axis;
use crate::records::{CheckKind, Tolerance};
use crate::report::{ToleranceStep, ValueStep};

/// Place of check `i` on the axis: its day, or its usage.
pub(super) fn along(case: &Case<'_>, i: usize) -> f64 {
    match case.axis {
        Axis::Time => case.history.date[i],
        Axis::Usage => case.history.usage[i],
    }
}

/// Values as left where an event set the level and the record states it, each until the next
/// calibration; nothing else is known of what the owner carries.
pub(super) fn values_left(case: &Case<'_>) -> Vec<ValueStep> {
    let history = case.history;
    let set = |i: &usize| history.happened(*i).restarts_level() && history.as_left[*i].is_finite();
    let step = |i: usize| {
        let calibrated = |j: &usize| history.kind[*j] != CheckKind::Check;
        let next = (i + 1..history.len()).find(calibrated);
        ValueStep {
            from: along(case, i),
            until: next.map_or(f64::INFINITY, |next| along(case, next)),
            counted_from: None,
            value: history.as_left[i],
        }
    };
    let steps = (0..history.len()).filter(set).map(step);
    steps.filter(|step| step.from.is_finite()).collect()
}

/// Tolerance in force at each check, and today's.
pub(super) fn tolerance_steps(case: &Case<'_>) -> Vec<ToleranceStep> {
    let history = case.history;
    let mut steps: Vec<ToleranceStep> = Vec::new();
    let mut add = |from: f64, tolerance: Option<Tolerance>| {
        let (lower, upper) = limits(tolerance);
        let same = steps
            .last()
            .is_some_and(|s| s.lower == lower && s.upper == upper);
        if (lower.is_some() || upper.is_some()) && !same {
            steps.push(ToleranceStep { from, lower, upper });
        }
    };
    for i in 0..history.len() {
        add(history.date[i], history.tolerance_at(i));
    }
    add(case.as_of, history.item.tolerance);
    steps
}
