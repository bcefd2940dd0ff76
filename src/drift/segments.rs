/*! The straight line of every segment, past ones too, and the residuals about them.

The fleet's kernel keeps only the current segment; the chart, the coefficients
and the diagnostics need all of them.
*/

use super::line::LineFit;
use super::{Prediction, Reading};

/// Straight line of one level segment. Unit: the history's, x in years or use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SegmentLine {
    /// Level segment.
    pub segment: u32,
    /// x of its first reading.
    pub from_x: f64,
    /// Weighted mean x.
    pub x_level: f64,
    /// Fitted value there.
    pub level: f64,
    /// Its standard uncertainty, uncorrelated with the slope's.
    pub u_level: f64,
    /// Slope of its drift segment; NaN where none could be estimated.
    pub slope: f64,
    /// Its standard uncertainty.
    pub u_slope: f64,
}

impl SegmentLine {
    /// Fitted value at `x`, with the scatter and degrees of freedom of `current`.
    pub fn at(&self, x: f64, current: &LineFit) -> Option<Prediction> {
        let has_slope = self.slope.is_finite();
        let along = if has_slope { x - self.x_level } else { 0.0 };
        let (slope, u_slope) = if has_slope {
            (self.slope, self.u_slope)
        } else {
            (0.0, 0.0)
        };
        let u_line = self.u_level.hypot(along * u_slope);
        Some(Prediction {
            expected: self.level + slope * along,
            u_error: u_line.hypot(current.u_common),
            u_reading: u_line.hypot(current.u_next),
            degrees_of_freedom: current.degrees_of_freedom,
            no_step: 1.0,
        })
    }
}

/// A column of numbers, one a reading, after the segments' lines are taken out of it, with
/// the weights and leverages of those lines.
#[derive(Debug, Clone, Default)]
pub struct Remainder {
    /// What is left of each number.
    pub left: Vec<f64>,
    /// Weight of each reading: 1/(u² + excess²) or 1.
    pub weight: Vec<f64>,
    /// Leverage of each reading.
    pub leverage: Vec<f64>,
}

/// Lines of all segments, oldest first, with the weights of `line`.
pub fn lines(readings: &[Reading], line: &LineFit) -> Vec<SegmentLine> {
    let values: Vec<f64> = readings.iter().map(|r| r.value).collect();
    let scatter = if line.u_known { 1.0 } else { line.u_next };
    let mut lines = Vec::new();
    walk(readings, line, &values, |part| {
        lines.push(SegmentLine {
            segment: part.readings[0].segment,
            from_x: part.readings[0].x,
            x_level: part.x,
            level: part.y,
            u_level: scatter / part.weight.sqrt(),
            slope: if part.spread > 0.0 {
                part.slope
            } else {
                f64::NAN
            },
            u_slope: if part.spread > 0.0 {
                scatter / part.spread.sqrt()
            } else {
                f64::NAN
            },
        });
    });
    lines
}

/// Takes the segments' lines out of `values`; of the readings' own values: the residuals.
pub fn remainder(readings: &[Reading], line: &LineFit, values: &[f64]) -> Remainder {
    let mut out = Remainder::default();
    walk(readings, line, values, |part| {
        for (r, value) in part.readings.iter().zip(part.values) {
            let (along, weight) = (r.x - part.x, weight(r, line));
            let spread = if part.spread > 0.0 {
                along * along / part.spread
            } else {
                0.0
            };
            out.left.push(value - part.y - part.slope * along);
            out.weight.push(weight);
            out.leverage.push(weight * (1.0 / part.weight + spread));
        }
    });
    out
}

/// One level segment with its fitted line.
struct Part<'a> {
    readings: &'a [Reading],
    values: &'a [f64],
    weight: f64,
    x: f64,
    y: f64,
    spread: f64,
    slope: f64,
}

fn walk(readings: &[Reading], line: &LineFit, values: &[f64], mut visit: impl FnMut(Part<'_>)) {
    let mut at = 0;
    for drift in readings.chunk_by(|a, b| a.drift_segment == b.drift_segment) {
        let mut parts = Vec::new();
        let (mut spread, mut shared) = (0.0, 0.0);
        for level in drift.chunk_by(|a, b| a.segment == b.segment) {
            let own = &values[at..at + level.len()];
            at += level.len();
            let total: f64 = level.iter().map(|r| weight(r, line)).sum();
            let mean = |pick: &dyn Fn(usize) -> f64| {
                let sum: f64 = (0..level.len())
                    .map(|i| weight(&level[i], line) * (pick(i) - pick(0)))
                    .sum();
                pick(0) + sum / total
            };
            let (x, y) = (mean(&|i| level[i].x), mean(&|i| own[i]));
            for (r, value) in level.iter().zip(own) {
                spread += weight(r, line) * (r.x - x) * (r.x - x);
                shared += weight(r, line) * (r.x - x) * (value - y);
            }
            parts.push((level, own, total, x, y));
        }
        let slope = if spread > 0.0 { shared / spread } else { 0.0 };
        for (readings, values, weight, x, y) in parts {
            visit(Part {
                readings,
                values,
                weight,
                x,
                y,
                spread,
                slope,
            });
        }
    }
}

fn weight(r: &Reading, line: &LineFit) -> f64 {
    if line.u_known {
        1.0 / (r.u * r.u + line.excess_u * line.excess_u)
    } else {
        1.0
    }
}
