/*! A history in a line of text: last readings in share of tolerance, the last one marked. */

use super::palette::{INKS, Ink};
use super::share::share_of;
use crate::report::view::SparkPoint;
use std::fmt::Write as _;

/// Width and height, pixels.
const SIZE: (f64, f64) = (96.0, 22.0);

/// Share of the tolerance at the edges; errors beyond stand there.
const EDGE: f64 = 1.25;

/// A few readings as an inline SVG for table cells, broken where an event moved the value; empty
/// text for no readings. With a tolerance every line has the same scale.
///
/// Written by hand rather than through plotters: thousands stand in one page, each must
/// be a few hundred bytes and must take its colour from the page.
pub(crate) fn sparkline(points: &[SparkPoint], tolerance: (Option<f64>, Option<f64>)) -> String {
    let finite: Vec<&SparkPoint> = points
        .iter()
        .filter(|p| p.day.is_finite() && p.error.is_finite())
        .collect();
    let (Some(first), Some(last)) = (finite.first(), finite.last()) else {
        return String::new();
    };
    let share = share_of(tolerance);
    // In sixteenths spans of the largest doubles are still numbers.
    let shown = |error: f64| share.as_ref().map_or(error / 16.0, |share| share(error));
    let values = || finite.iter().map(|p| shown(p.error));
    let (low, high) = match &share {
        Some(_) => (-EDGE, EDGE),
        None => (
            values().fold(f64::INFINITY, f64::min),
            values().fold(f64::NEG_INFINITY, f64::max),
        ),
    };
    let x = |day: f64| match last.day > first.day {
        true => 3.0 + 90.0 * (day - first.day) / (last.day - first.day),
        false => 48.0,
    };
    let y = |value: f64| match high > low {
        true => 19.0 - 16.0 * ((value.clamp(low, high) - low) / (high - low)),
        false => 11.0,
    };
    let mut svg = format!(
        "<svg class=\"spark\" width=\"{}\" height=\"{}\" aria-hidden=\"true\">",
        SIZE.0, SIZE.1
    );
    let limits = [(tolerance.0, -1.0), (tolerance.1, 1.0)];
    for (_, at) in limits
        .iter()
        .filter(|(limit, _)| share.is_some() && limit.is_some())
    {
        let _ = write!(svg, "<path d=\"M0 {0:.1}H96\" class=\"limit\"/>", y(*at));
    }
    let mut path = String::new();
    for (i, point) in finite.iter().enumerate() {
        let step = if i == 0 || point.begins { "M" } else { "L" };
        let _ = write!(
            path,
            "{step}{:.1} {:.1}",
            x(point.day),
            y(shown(point.error))
        );
    }
    let out =
        tolerance.0.is_some_and(|l| last.error < l) || tolerance.1.is_some_and(|l| last.error > l);
    let ink = if out { Ink::Alarm } else { Ink::Reading };
    let code = INKS[ink as usize].1;
    let _ = write!(
        svg,
        "<path d=\"{path}\" class=\"line\"/><circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"2.5\" fill=\"#{code:06X}\"/></svg>",
        x(last.day),
        y(shown(last.error))
    );
    svg
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_broken_at_an_adjustment_and_scaled_by_the_tolerance() {
        let point = |day: f64, error: f64, begins| SparkPoint { day, error, begins };
        let points = [
            point(0.0, 0.0, false),
            point(1.0, 2.0, false),
            point(2.0, 0.0, true),
        ];
        let svg = sparkline(&points, (Some(-2.0), Some(2.0)));
        says!(svg, "d=\"M3.0 11.0L48.0 4.6M93.0 11.0\"");
        let wider = sparkline(&points, (Some(-20.0), Some(20.0)));
        says!(wider, "L48.0 10.4M");
        for error in [f64::MAX, -f64::MAX, f64::INFINITY] {
            let svg = sparkline(
                &[point(0.0, error, false)],
                (Some(-f64::MAX), Some(f64::MAX)),
            );
            assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
        }
    }
}
