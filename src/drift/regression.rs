/*! Constant, parabola, polynomial and season: regression with a level per segment.

Every level segment has its own level; powers of the axis belong to a drift
segment; an annual sine and cosine are shared by all. Solved in double-double on
a centred and scaled axis, with Paule–Mandel excess where u is known.
*/

use super::design::{Axis, Shape, Term, terms};
use super::doubt::{doubted_freedom, freedom_with_excess};
use super::excess::{Estimator, excess};
use super::least_squares::{LeastSquaresError, Noise, Solution, solve};
use super::line::SIGNIFICANT;
use super::{Prediction, Reading};
use crate::stats::{DoubleDouble, chi_squared_upper, median, whole_degrees};

/// Fitted regression: plain numbers that predict. Unit: the history's.
#[derive(Debug, Clone)]
pub struct Regression {
    /// Columns, in the order of `coefficients`.
    pub terms: Vec<Term>,
    /// Zero of the internal axis.
    pub centre: f64,
    /// Scale of the internal axis.
    pub scale: f64,
    /// Coefficients of the internal axis.
    pub coefficients: Vec<f64>,
    /// Their covariance, row after row.
    pub covariance: Vec<f64>,
    /// Segment in force from x on: (x, segment, drift segment), ascending.
    pub starts: Vec<(f64, u32, u32)>,
    /// True where every reading states u.
    pub u_known: bool,
    /// n − p.
    pub residual_freedom: f64,
    /// Standard deviation of the residuals; over u where u is known.
    pub residual_deviation: f64,
    /// χ² against the stated u; NaN where unknown.
    pub chi_squared: f64,
    /// Excess scatter in the bands, standard uncertainty.
    pub excess_u: f64,
    /// Standard uncertainty of the next reading about the true error.
    pub u_next: f64,
    /// Degrees of freedom of the bands.
    pub degrees_of_freedom: f64,
    /// Shared uncertainty of the reference.
    pub u_common: f64,
    /// Observed minus fitted, one a reading.
    pub residuals: Vec<f64>,
    /// Residuals over their weights' u, one a reading.
    pub whitened: Vec<f64>,
    /// Leverage, one a reading.
    pub leverage: Vec<f64>,
}

/// Fits `shape` to `readings` (oldest first).
///
/// Older drift segments with too few dates for the degree get a lower one; for the current
/// one that is an error in words.
pub fn fit(
    readings: &[Reading],
    shape: Shape,
    u_common: f64,
) -> Result<Regression, LeastSquaresError> {
    let size = scale_of(readings);
    let axis = Axis::of(readings);
    let terms = terms(readings, shape)?;
    let columns = axis.columns(&terms, readings);
    let values: Vec<DoubleDouble> = readings
        .iter()
        .map(|r| DoubleDouble::from(r.value / size))
        .collect();
    let u: Vec<f64> = readings.iter().map(|r| r.u / size).collect();
    let known = u.iter().all(|u| u.is_finite() && *u > 0.0);
    let mut out = Regression {
        terms,
        centre: axis.centre,
        scale: axis.scale,
        coefficients: Vec::new(),
        covariance: Vec::new(),
        starts: starts(readings),
        u_known: known,
        residual_freedom: (readings.len().saturating_sub(columns.len())) as f64,
        residual_deviation: f64::NAN,
        chi_squared: f64::NAN,
        excess_u: 0.0,
        u_next: f64::NAN,
        degrees_of_freedom: f64::INFINITY,
        u_common,
        residuals: Vec::new(),
        whitened: Vec::new(),
        leverage: Vec::new(),
    };
    if known {
        out.fit_known(&columns, &values, &u, size)?;
    } else {
        out.excess_u = f64::NAN;
        let solution = solve(&columns, &values, Noise::Unknown)?;
        let variance = solution.sum_of_squares.nearest() / out.residual_freedom;
        out.residual_deviation = variance.sqrt() * size;
        out.u_next = out.residual_deviation;
        out.degrees_of_freedom = out.residual_freedom;
        out.take(&solution, variance, size);
    }
    let sound = out
        .coefficients
        .iter()
        .chain(&out.covariance)
        .all(|v| v.is_finite());
    if sound {
        Ok(out)
    } else {
        Err(LeastSquaresError::Range)
    }
}

impl Regression {
    fn fit_known(
        &mut self,
        columns: &[Vec<DoubleDouble>],
        values: &[DoubleDouble],
        u: &[f64],
        size: f64,
    ) -> Result<(), LeastSquaresError> {
        let plain = solve(columns, values, Noise::Known(u))?;
        let freedom = self.residual_freedom;
        let usual = median(u);
        self.chi_squared = plain.sum_of_squares.nearest();
        self.residual_deviation = (self.chi_squared / freedom).sqrt();
        self.u_next = usual * size;
        let consistency = chi_squared_upper(self.chi_squared, freedom);
        let surprising = freedom > 0.0 && self.chi_squared > freedom && consistency <= SIGNIFICANT;
        if !surprising {
            if freedom > 0.0 {
                self.degrees_of_freedom = doubted_freedom(self.chi_squared, freedom, consistency);
            }
            self.take(&plain, 1.0, size);
            return Ok(());
        }
        let more = excess(columns, values, u, Estimator::PauleMandel)?;
        let total = more.variance + usual * usual;
        self.excess_u = more.variance.sqrt() * size;
        self.u_next = total.sqrt() * size;
        let own = whole_degrees((total * more.trace).powi(2) / freedom);
        let ratio = total.sqrt() / usual;
        self.degrees_of_freedom = freedom_with_excess(self.chi_squared, freedom, ratio, own);
        self.take(&more.solution, 1.0, size);
        Ok(())
    }

    fn take(&mut self, solution: &Solution, variance: f64, size: f64) {
        let nearest = |values: &[DoubleDouble], factor: f64| -> Vec<f64> {
            values.iter().map(|v| v.nearest() * factor).collect()
        };
        self.coefficients = nearest(&solution.coefficients, size);
        let inverse = nearest(&solution.inverse, variance);
        // Factor by factor, so that values near 1e±200 do not overflow before they are small.
        self.covariance = inverse.iter().map(|c| c * size * size).collect();
        self.residuals = nearest(&solution.residuals, size);
        self.whitened = nearest(&solution.whitened, 1.0 / variance.sqrt());
        self.leverage = solution.leverage.clone();
    }

    /// Forecast at `x` in the current segment.
    pub fn at(&self, x: f64) -> Option<Prediction> {
        let (_, segment, drift_segment) = *self.starts.last()?;
        Some(self.in_segment(x, segment, drift_segment))
    }

    /// Fitted value at a past `x`, in the segment that held then.
    pub fn fitted(&self, x: f64) -> Option<Prediction> {
        let held = self.starts.iter().rev().find(|(from, _, _)| *from <= x);
        let (_, segment, drift_segment) = held.or(self.starts.first()).copied()?;
        Some(self.in_segment(x, segment, drift_segment))
    }

    fn in_segment(&self, x: f64, segment: u32, drift_segment: u32) -> Prediction {
        let axis = Axis {
            centre: self.centre,
            scale: self.scale,
        };
        let entry = |term: &Term| axis.entry(*term, x, segment, drift_segment).nearest();
        let row: Vec<f64> = self.terms.iter().map(entry).collect();
        let (expected, variance) = self.combine(&row);
        Prediction {
            expected,
            u_error: variance.sqrt().hypot(self.u_common),
            u_reading: variance.sqrt().hypot(self.u_next),
            degrees_of_freedom: self.degrees_of_freedom,
            no_step: 1.0,
        }
    }

    /// Value and variance of the combination `row` of coefficients.
    pub fn combine(&self, row: &[f64]) -> (f64, f64) {
        let p = row.len();
        let value = row.iter().zip(&self.coefficients).map(|(a, b)| a * b).sum();
        let variance: f64 = (0..p * p)
            .map(|k| row[k / p] * self.covariance[k] * row[k % p])
            .sum();
        (value, variance.max(0.0))
    }

    /// Drift at `x` in the current segment with its standard uncertainty, per unit of x;
    /// the season, which comes back every year, is no drift.
    pub fn drift(&self, x: f64) -> (f64, f64) {
        let current = self.starts.last().map_or(0, |start| start.2);
        let t = (x - self.centre) / self.scale;
        let row: Vec<f64> = self
            .terms
            .iter()
            .map(|term| match term {
                Term::Power {
                    drift_segment,
                    power,
                } if *drift_segment == current => {
                    f64::from(*power) * t.powi(*power as i32 - 1) / self.scale
                }
                _ => 0.0,
            })
            .collect();
        let (drift, variance) = self.combine(&row);
        (drift, variance.sqrt())
    }
}

fn starts(readings: &[Reading]) -> Vec<(f64, u32, u32)> {
    readings
        .chunk_by(|a, b| a.segment == b.segment)
        .map(|level| (level[0].x, level[0].segment, level[0].drift_segment))
        .collect()
}

/// Power of two near the largest value, where squares would leave the range of a double.
fn scale_of(readings: &[Reading]) -> f64 {
    let largest = readings.iter().map(|r| r.value.abs()).fold(0.0, f64::max);
    if largest == 0.0 || (1e-100..1e100).contains(&largest) {
        1.0
    } else {
        largest.log2().floor().clamp(-1020.0, 1020.0).exp2()
    }
}
