/*! What a history's chart must show along both axes, and which readings would flatten it. */

use crate::report::charts::scale::{LARGEST, Range};
use crate::report::view::{Action, HistoryView};

/// Coverage factor of the bars: U = k·u.
pub(crate) const BAR_COVERAGE: f64 = 2.0;

/// A reading further from the rest than this many times their span goes to the broken edge.
const FLATTENING: f64 = 1.2;

/// Fences of the rest: this many interquartile ranges beyond the quartiles.
const FENCE: f64 = 8.0;

/// Limits that would make the readings' span smaller than 1/this are named, not drawn.
const WIDEST_TOLERANCE: f64 = 12.0;

/// Share of the picture's span that bands may add on either side; beyond it they are cut.
const BAND_ROOM: f64 = 0.6;

/// A lone day gets a tenth of at most this many days on either side.
const MOST_DAYS: f64 = 1800.0;

/// The ranges of one chart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Extent {
    /// First and last x: days, or usage.
    pub x: (f64, f64),
    /// Lowest and highest error that is drawn to scale.
    pub y: (f64, f64),
    /// Readings lie above the broken upper edge.
    pub broken_above: bool,
    /// Readings lie below the broken lower edge.
    pub broken_below: bool,
}

/// Ranges of the chart of one history.
pub(crate) fn extent(view: &HistoryView) -> Extent {
    let x = x_range(view);
    let mut y = core(view);
    add_tolerance(view, &mut y);
    let (mut broken_above, mut broken_below) = (false, false);
    let rest = y;
    for value in values(view) {
        broken_above |= value > rest.1 + FLATTENING * rest.span() || value >= LARGEST;
        broken_below |= value < rest.0 - FLATTENING * rest.span() || value <= -LARGEST;
        if value <= rest.1 + FLATTENING * rest.span() && value >= rest.0 - FLATTENING * rest.span()
        {
            y.add(value);
        }
    }
    view.values.iter().for_each(|step| y.add(step.value));
    add_bands(view, x, &mut y);
    Extent {
        x,
        y: padded(y),
        broken_above,
        broken_below,
    }
}

/// All drawn values: as found and as left.
fn values(view: &HistoryView) -> impl Iterator<Item = f64> + '_ {
    let found = view.readings.iter().map(|r| r.value);
    let left = view.readings.iter().filter_map(|r| r.as_left);
    found.chain(left).filter(|v| !v.is_nan())
}

fn x_range(view: &HistoryView) -> (f64, f64) {
    let mut x = Range::EMPTY;
    view.readings.iter().for_each(|r| x.add(r.day));
    if view.usage_unit.is_some() {
        view.curve.iter().for_each(|p| x.add(p.day));
    } else {
        x.add(view.as_of);
        let dues = [view.due_day, view.in_force_due];
        dues.into_iter().flatten().for_each(|d| x.add(d));
        // What is withdrawn has no interval to draw.
        let in_force = view
            .current_interval_days
            .filter(|_| view.action != Action::Withdraw);
        let intervals = [in_force, view.interval_days];
        if let Some(start) = view.last_calibration {
            x.add(start);
            intervals
                .into_iter()
                .flatten()
                .for_each(|days| x.add(start + days));
        }
    }
    let x = if x.is_empty() { Range(0.0, 1.0) } else { x };
    let pad = match x.span() {
        span if span > 0.0 => 0.03 * span,
        _ if view.usage_unit.is_none() => 0.1 * x.0.abs().clamp(1.0, MOST_DAYS),
        _ if x.0 == 0.0 => 1.0,
        _ => 0.1 * x.0.abs(),
    };
    (x.0 - pad, x.1 + pad)
}

/// Readings inside wide fences with their bars, and the expected values at their dates.
fn core(view: &HistoryView) -> Range {
    let mut sorted: Vec<f64> = values(view).filter(|v| v.abs() < LARGEST).collect();
    sorted.sort_by(f64::total_cmp);
    let quartile = |share: f64| sorted.get((share * sorted.len() as f64) as usize).copied();
    let (low, high) = match (quartile(0.25), quartile(0.75)) {
        (Some(low), Some(high)) if sorted.len() >= 4 => (low, high),
        _ => (f64::NEG_INFINITY, f64::INFINITY),
    };
    let reach = if high > low {
        FENCE * (high - low)
    } else {
        0.0
    };
    let mut us: Vec<f64> = view
        .readings
        .iter()
        .map(|r| r.u)
        .filter(|u| u.is_finite())
        .collect();
    us.sort_by(f64::total_cmp);
    // One absurd u must not flatten the picture: bars count up to three typical ones.
    let most = 3.0 * us.get(us.len() / 2).copied().unwrap_or(0.0);
    let mut range = Range::EMPTY;
    for reading in &view.readings {
        for value in [Some(reading.value), reading.as_left].into_iter().flatten() {
            if value >= low - reach && value <= high + reach {
                let bar = if reading.u.is_finite() {
                    BAR_COVERAGE * reading.u.min(most)
                } else {
                    0.0
                };
                range.add(value - bar);
                range.add(value + bar);
            }
        }
    }
    range
}

fn add_tolerance(view: &HistoryView, range: &mut Range) {
    let mut wide = *range;
    for step in &view.tolerance {
        step.lower
            .into_iter()
            .chain(step.upper)
            .for_each(|limit| wide.add(limit));
    }
    let few = view.readings.len() < 3;
    if few || range.span() == 0.0 || wide.span() <= WIDEST_TOLERANCE * range.span() {
        *range = wide;
    }
}

fn add_bands(view: &HistoryView, x: (f64, f64), range: &mut Range) {
    let room = BAND_ROOM * range.span();
    let (low, high) = if range.is_empty() {
        (f64::NEG_INFINITY, f64::INFINITY)
    } else {
        (range.0 - room, range.1 + room)
    };
    for point in view.curve.iter().filter(|p| p.day >= x.0 && p.day <= x.1) {
        for value in [point.prediction.0, point.prediction.1, point.expected] {
            if value.is_finite() {
                range.add(value.clamp(low, high));
            }
        }
    }
}

fn padded(range: Range) -> (f64, f64) {
    let range = if range.is_empty() {
        Range(-1.0, 1.0)
    } else {
        range
    };
    let size = range.0.abs().max(range.1.abs());
    // A span below the resolution of a double cannot be divided into ticks.
    let least = if size == 0.0 { 2.0 } else { size * 1e-12 };
    let pad = match range.span() {
        0.0 if size > 0.0 => 0.1 * size,
        span if span < least => least,
        span => 0.05 * span,
    };
    (range.0 - pad, range.1 + pad)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::view::ReadingView;

    fn view(values: &[f64]) -> HistoryView {
        let reading = |(i, value): (usize, &f64)| ReadingView {
            day: 1000.0 + 100.0 * i as f64,
            value: *value,
            u: 0.1,
            ..Default::default()
        };
        HistoryView {
            as_of: 1000.0 + 100.0 * values.len() as f64,
            readings: values.iter().enumerate().map(reading).collect(),
            ..Default::default()
        }
    }

    #[test]
    fn a_flattening_outlier_goes_to_the_broken_edge_and_a_trend_does_not() {
        let outlier = extent(&view(&[1.0, 1.1, 1.2, 1.1, 1200.0, 1.2]));
        assert!(outlier.broken_above && outlier.y.1 < 3.0);
        let trend = extent(&view(&[1.0, 2.0, 3.0, 4.0, 5.0, 6.0]));
        assert!(!trend.broken_above && !trend.broken_below);
    }

    #[test]
    fn ranges_are_finite_and_open_for_any_values() {
        for values in [
            vec![],
            vec![0.0],
            vec![5.0; 9],
            vec![f64::MAX, -f64::MAX],
            vec![1e-300, 2e-300],
            vec![f64::NAN],
        ] {
            let e = extent(&view(&values));
            assert!(e.x.0 < e.x.1 && e.y.0 < e.y.1, "{values:?} {e:?}");
            assert!((e.y.1 - e.y.0).is_finite());
        }
    }
}
