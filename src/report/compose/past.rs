/*! The fit through the past, for the chart: levels with their bands at dates of each segment. */

use crate::drift::class::parameters::ClassParameters;
use crate::drift::series::readings::{Axis, Reading, fill_readings};
use crate::drift::{DriftSettings, Fit, Prediction, level_in_the_past};
use crate::records::History;

/// Points along the whole of a history's past.
const PAST_POINTS: usize = 80;

/// Most points along a past that swings: two centuries of it.
const MOST_POINTS: usize = 5_000;

/// Years between points of a level that swings with the year.
const SWING_STEP: f64 = 1.0 / 24.0;

/// Share of the history's span before an event at which the level before it is asked for: five
/// minutes in ten years.
const JUST_BEFORE: f64 = 1e-6;

/// Level at a date of the past: x, segment, prediction.
pub(crate) type PastPoint = (f64, u32, Prediction);

/// The fitted level through the past of `history`, oldest first; empty where there is no fit.
pub(crate) fn past(
    history: &History<'_>,
    fit: &Fit,
    class: Option<&ClassParameters>,
    settings: &DriftSettings,
) -> Vec<PastPoint> {
    let mut readings = Vec::new();
    fill_readings(history, settings.axis, &mut readings);
    // A swing is of the year: along another axis there is none to follow.
    let swings = fit.has_annual_term() && settings.axis == Axis::Time;
    let dates = dates(&readings, swings);
    let xs: Vec<f64> = dates.iter().map(|(x, _)| *x).collect();
    let levels = level_in_the_past(history, class, settings, fit, &xs);
    let point = |((x, segment), level): (&(f64, u32), Option<Prediction>)| {
        level
            .filter(|p| p.expected.is_finite() && p.u_error.is_finite())
            .map(|p| (*x, *segment, p))
    };
    dates.iter().zip(levels).filter_map(point).collect()
}

/// Evenly spread dates in each segment, its first and last reading among them.
fn dates(readings: &[Reading], swings: bool) -> Vec<(f64, u32)> {
    let (Some(first), Some(last)) = (readings.first(), readings.last()) else {
        return Vec::new();
    };
    let span = last.x - first.x;
    if !span.is_finite() {
        return Vec::new();
    }
    let mut step = span / PAST_POINTS as f64;
    if swings {
        step = step.min(SWING_STEP).max(span / MOST_POINTS as f64);
    }
    let mut dates = Vec::new();
    let mut from = 0;
    while from < readings.len() {
        let segment = readings[from].segment;
        let length = readings[from..]
            .iter()
            .take_while(|r| r.segment == segment)
            .count();
        let (start, end) = (readings[from].x, readings[from + length - 1].x);
        // A segment that ends with an event is asked for just before it: at the event itself
        // the level of the next segment holds.
        let end = if from + length < readings.len() {
            (end - JUST_BEFORE * span).max(start)
        } else {
            end
        };
        let points = if step > 0.0 {
            ((end - start) / step).ceil() as usize
        } else {
            0
        };
        dates.extend((0..=points).map(|k| {
            let share = if points == 0 {
                0.0
            } else {
                k as f64 / points as f64
            };
            (start + (end - start) * share, segment)
        }));
        from += length;
    }
    dates
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(xs: &[f64]) -> Vec<Reading> {
        let reading = |x: &f64| Reading {
            x: *x,
            value: 0.0,
            u: f64::NAN,
            ..Reading::default()
        };
        xs.iter().map(reading).collect()
    }

    #[test]
    fn the_points_do_not_grow_with_the_values() {
        for far in [1.0, 1e4, 1e7, 1e15, 1e300, 1e308] {
            for swings in [true, false] {
                let points = dates(&at(&[-far, 0.0, far]), swings).len();
                assert!(points <= MOST_POINTS + 2, "{far}: {points}");
            }
        }
    }
}
