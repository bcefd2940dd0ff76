/*! The straight line of every segment, past ones too, and the residuals about them.

The fleet's kernel keeps only the current segment; the chart, the coefficients
and the diagnostics need all of them. They are found in double-double: an intercept far from
the readings is a small difference of large numbers.
*/

use super::line::LineFit;
use crate::drift::Prediction;
use crate::drift::diagnostics::trend::Direction;
use crate::drift::series::readings::Reading;
use crate::stats::DoubleDouble;

/// Straight line of one level segment. Unit: the history's, x in years or use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SegmentLine {
    /// Level segment.
    pub segment: u32,
    /// x of its first reading.
    pub from_x: f64,
    /// Weighted mean x.
    pub x_level: DoubleDouble,
    /// Fitted value there.
    pub level: DoubleDouble,
    /// Its standard uncertainty, uncorrelated with the slope's.
    pub u_level: f64,
    /// Slope of its drift segment; NaN where none could be estimated.
    pub slope: DoubleDouble,
    /// Its standard uncertainty.
    pub u_slope: f64,
}

impl SegmentLine {
    /// Fitted value at `x` with its standard uncertainty; the level where there is no slope.
    pub(crate) fn value(&self, x: f64) -> (f64, f64) {
        if !self.has_slope() {
            return (self.level.nearest(), self.u_level);
        }
        let along = DoubleDouble::from(x) - self.x_level;
        let value = self.level + self.slope * along;
        let u = self.u_level.hypot(along.nearest() * self.u_slope);
        (value.nearest(), u)
    }

    /// True where its drift segment has a slope.
    pub(crate) fn has_slope(&self) -> bool {
        self.slope.nearest().is_finite()
    }

    /// Fitted value at `x`, with the scatter and degrees of freedom of `current`.
    pub(crate) fn at(&self, x: f64, current: &LineFit) -> Option<Prediction> {
        let (expected, u_line) = self.value(x);
        Some(Prediction {
            expected,
            u_error: u_line.hypot(current.u_common),
            u_reading: u_line.hypot(current.u_next),
            degrees_of_freedom: current.degrees_of_freedom,
            no_step: 1.0,
            no_step_at_most: 1.0,
        })
    }
}

/// A column of numbers, one a reading, after the segments' lines are taken out of it, with
/// the weights and leverages of those lines.
#[derive(Debug, Clone, Default)]
pub(crate) struct Remainder {
    /// What is left of each number.
    pub left: Vec<f64>,
    /// Weight of each reading: 1/(u² + excess²) or 1.
    pub weight: Vec<f64>,
    /// Leverage of each reading.
    pub leverage: Vec<f64>,
}

/// Lines of all segments, oldest first, with the weights of `line`.
pub(crate) fn lines(readings: &[Reading], line: &LineFit) -> Vec<SegmentLine> {
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
                f64::NAN.into()
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
pub(crate) fn remainder(readings: &[Reading], line: &LineFit, values: &[f64]) -> Remainder {
    let mut out = Remainder::default();
    walk(readings, line, values, |part| {
        for (r, value) in part.readings.iter().zip(part.values) {
            let along = DoubleDouble::from(r.x) - part.x;
            let left = DoubleDouble::from(*value) - part.y - part.slope * along;
            let (along, weight) = (along.nearest(), weight(r, line));
            let spread = if part.spread > 0.0 {
                along * along / part.spread
            } else {
                0.0
            };
            out.left.push(left.nearest());
            out.weight.push(weight);
            out.leverage.push(weight * (1.0 / part.weight + spread));
        }
    });
    out
}

/// Orthonormal columns that span the whitened design of the segments' lines: a level each, and a
/// slope for each drift segment. Centring inside the levels has made them orthogonal already.
pub(crate) fn directions(readings: &[Reading], line: &LineFit) -> Vec<Direction> {
    let mut levels: Vec<Direction> = Vec::new();
    let mut slopes: Vec<(u32, Direction)> = Vec::new();
    let (values, mut from) = (vec![0.0; readings.len()], 0);
    walk(readings, line, &values, |part| {
        let root = |r: &Reading| weight(r, line).sqrt();
        let level = part.readings.iter().map(|r| root(r) / part.weight.sqrt());
        levels.push(Direction {
            from,
            values: level.collect(),
        });
        let along = |r: &Reading| (DoubleDouble::from(r.x) - part.x).nearest();
        let slope = part
            .readings
            .iter()
            .map(|r| root(r) * along(r) / part.spread.sqrt());
        let drift = part.readings[0].drift_segment;
        match slopes.last_mut().filter(|slope| slope.0 == drift) {
            Some((_, direction)) => direction.values.extend(slope),
            None if part.spread > 0.0 => {
                let values = slope.collect();
                slopes.push((drift, Direction { from, values }));
            }
            None => {}
        }
        from += part.readings.len();
    });
    levels.extend(slopes.into_iter().map(|(_, direction)| direction));
    levels
}

/// One level segment with its fitted line.
struct Part<'a> {
    readings: &'a [Reading],
    values: &'a [f64],
    weight: f64,
    x: DoubleDouble,
    y: DoubleDouble,
    spread: f64,
    slope: DoubleDouble,
}

fn walk(readings: &[Reading], line: &LineFit, values: &[f64], mut visit: impl FnMut(Part<'_>)) {
    let mut at = 0;
    for drift in readings.chunk_by(|a, b| a.drift_segment == b.drift_segment) {
        let mut parts = Vec::new();
        let (mut spread, mut shared) = (DoubleDouble::ZERO, DoubleDouble::ZERO);
        for level in drift.chunk_by(|a, b| a.segment == b.segment) {
            let own = &values[at..at + level.len()];
            at += level.len();
            let total = sum((0..level.len()).map(|i| weight(&level[i], line).into()));
            let mean = |pick: &dyn Fn(usize) -> f64| {
                let about = |i: usize| DoubleDouble::difference(pick(i), pick(0));
                let all = sum((0..level.len()).map(|i| about(i) * weight(&level[i], line)));
                DoubleDouble::from(pick(0)) + all / total
            };
            let (x, y) = (mean(&|i| level[i].x), mean(&|i| own[i]));
            for (r, value) in level.iter().zip(own) {
                let along = DoubleDouble::from(r.x) - x;
                let weighted = along * weight(r, line);
                spread += weighted * along;
                shared += weighted * (DoubleDouble::from(*value) - y);
            }
            parts.push((level, own, total.nearest(), x, y));
        }
        let slope = match spread.nearest() > 0.0 {
            true => shared / spread,
            false => DoubleDouble::ZERO,
        };
        let spread = spread.nearest();
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

fn sum(numbers: impl Iterator<Item = DoubleDouble>) -> DoubleDouble {
    numbers.fold(DoubleDouble::ZERO, |sum, number| sum + number)
}

fn weight(r: &Reading, line: &LineFit) -> f64 {
    if line.u_known {
        1.0 / (r.u * r.u + line.excess_u * line.excess_u)
    } else {
        1.0
    }
}
