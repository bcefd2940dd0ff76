/*! A history in a line of text: last readings, tolerance, the last one marked. */

use super::palette::Ink;
use std::fmt::Write as _;

/// Width and height, pixels.
const SIZE: (f64, f64) = (96.0, 22.0);

/// A few readings as an inline SVG for table cells; empty text for no readings.
///
/// Written by hand rather than through plotters: thousands stand in one page, each must
/// be a few hundred bytes and must take its colour from the page.
pub fn sparkline(points: &[(f64, f64)], tolerance: (Option<f64>, Option<f64>)) -> String {
    // In sixteenths four spans of the largest doubles are still numbers.
    let part = |value: f64| value / 16.0;
    let tolerance = (tolerance.0.map(part), tolerance.1.map(part));
    let finite: Vec<(f64, f64)> = points
        .iter()
        .filter(|p| p.0.is_finite() && p.1.is_finite())
        .map(|p| (p.0, part(p.1)))
        .collect();
    let (Some(first), Some(last)) = (finite.first(), finite.last()) else {
        return String::new();
    };
    let values = finite.iter().map(|p| p.1);
    let mut low = values.clone().fold(f64::INFINITY, f64::min);
    let mut high = values.fold(f64::NEG_INFINITY, f64::max);
    let span = high - low;
    for limit in tolerance.0.into_iter().chain(tolerance.1) {
        // Limits far away would flatten the line; then only the line shows.
        if limit >= low - 4.0 * span && limit <= high + 4.0 * span {
            (low, high) = (low.min(limit), high.max(limit));
        }
    }
    let x = |day: f64| {
        if last.0 > first.0 {
            3.0 + 90.0 * (day - first.0) / (last.0 - first.0)
        } else {
            48.0
        }
    };
    let y = |value: f64| {
        if high > low {
            19.0 - 16.0 * ((value - low) / (high - low))
        } else {
            11.0
        }
    };
    let mut svg = format!(
        "<svg class=\"spark\" width=\"{}\" height=\"{}\" aria-hidden=\"true\">",
        SIZE.0, SIZE.1
    );
    for limit in tolerance
        .0
        .into_iter()
        .chain(tolerance.1)
        .filter(|l| *l >= low && *l <= high)
    {
        let _ = write!(svg, "<path d=\"M0 {0:.1}H96\" class=\"limit\"/>", y(limit));
    }
    let mut path = String::new();
    for (i, (day, value)) in finite.iter().enumerate() {
        let _ = write!(
            path,
            "{}{:.1} {:.1}",
            if i == 0 { "M" } else { "L" },
            x(*day),
            y(*value)
        );
    }
    let out = tolerance.0.is_some_and(|l| last.1 < l) || tolerance.1.is_some_and(|l| last.1 > l);
    let ink = if out { Ink::Alarm } else { Ink::Reading };
    let code = super::palette::INKS[ink as usize].1;
    let _ = write!(
        svg,
        "<path d=\"{path}\" class=\"line\"/><circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"2.5\" fill=\"#{code:06X}\"/></svg>",
        x(last.0),
        y(last.1)
    );
    svg
}
