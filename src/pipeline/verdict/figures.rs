/*! Numbers of a verdict as its lines write them. */

use super::judged::Judged;
use crate::words;

pub(super) fn with_unit(judged: &Judged<'_>, value: f64) -> String {
    join_unit(figure(value), &judged.history.item.unit)
}

pub(super) fn signed(judged: &Judged<'_>, value: f64) -> String {
    let sign = if value > 0.0 { "+" } else { "" };
    join_unit(
        format!("{sign}{}", figure(value)),
        &judged.history.item.unit,
    )
}

fn join_unit(number: String, unit: &str) -> String {
    if unit.is_empty() {
        number
    } else {
        format!("{number} {unit}")
    }
}

/// Four significant figures without trailing zeros; ∞ in words.
pub(super) fn figure(value: f64) -> String {
    match value {
        none if none.is_nan() => "unknown".into(),
        f64::INFINITY => "no upper limit".into(),
        f64::NEG_INFINITY => "no lower limit".into(),
        value => words::significant(value, 4),
    }
}
