/*! Constant, parabola, polynomial and season: regression with a level per segment.

Every level segment has its own level; powers of the axis belong to a drift
segment; an annual sine and cosine are shared by all. Solved in double-double on
a centred and scaled axis, with Paule–Mandel excess where u is known. Coefficients and
covariance stay in double-double, so that neither a forecast nor the powers of x that a reader
sees ([`super::curve_fit`]) lose digits to the change of axis.
*/

use super::column::{Column, Overlaps};
use super::design::{Axis, Places, Shape, Term, terms};
use super::doubt::{doubted_freedom, freedom_with_excess};
use super::excess::excess;
use super::least_squares::{LeastSquaresError, Noise, Solution, Triangle, solve};
use super::line::SIGNIFICANT;
use crate::drift::Prediction;
use crate::drift::diagnostics::trend::Direction;
use crate::drift::series::next_u::next_u;
use crate::drift::series::readings::Reading;
use crate::stats::{DoubleDouble, chi_squared_upper, whole_degrees};

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
    pub coefficients: Vec<DoubleDouble>,
    /// What tells their covariance, times `variance` and the square of `size`.
    triangle: Triangle,
    /// Variance of a reading of weight one; NaN where no degree of freedom tells the scatter.
    variance: DoubleDouble,
    /// What the values were divided by.
    size: f64,
    /// Where the terms of each segment stand.
    pub(super) places: Places,
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
pub(crate) fn fit(
    readings: &[Reading],
    shape: Shape,
    u_common: f64,
) -> Result<Regression, LeastSquaresError> {
    let size = scale_of(readings);
    let axis = Axis::of(readings, shape.intercept);
    let terms = terms(readings, shape)?;
    let columns = axis.columns(&terms, readings);
    let values: Vec<DoubleDouble> = readings
        .iter()
        .map(|r| DoubleDouble::from(r.value / size))
        .collect();
    let u: Vec<f64> = readings.iter().map(|r| r.u / size).collect();
    let known = u.iter().all(|u| u.is_finite() && *u > 0.0);
    let mut out = Regression {
        places: Places::of(&terms),
        terms,
        centre: axis.centre,
        scale: axis.scale,
        coefficients: Vec::new(),
        triangle: Triangle::default(),
        variance: DoubleDouble::ZERO,
        size,
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
        out.fit_known(&columns, &values, &u, (size, next_u(readings) / size))?;
    } else {
        out.excess_u = f64::NAN;
        let solution = solve(&columns, &values, Noise::Unknown)?;
        let variance = solution.sum_of_squares / out.residual_freedom;
        out.residual_deviation = (variance.sqrt() * size).nearest();
        out.u_next = out.residual_deviation;
        out.degrees_of_freedom = out.residual_freedom;
        out.take(solution, variance, size);
    }
    // Without a degree of freedom the coefficients are exact and their covariance unknown.
    let tells_scatter = known || out.residual_freedom > 0.0;
    let variance = |i: usize| out.variance_of(&[(i, DoubleDouble::ONE)]);
    let variances = (0..out.terms.len()).filter(|_| tells_scatter).map(variance);
    let mut figures = out.coefficients.iter().copied().chain(variances);
    if figures.all(|v| v.nearest().is_finite()) {
        Ok(out)
    } else {
        Err(LeastSquaresError::Range)
    }
}

impl Regression {
    fn fit_known(
        &mut self,
        columns: &[Column],
        values: &[DoubleDouble],
        u: &[f64],
        (size, usual): (f64, f64),
    ) -> Result<(), LeastSquaresError> {
        let plain = solve(columns, values, Noise::Known(u))?;
        let freedom = self.residual_freedom;
        self.chi_squared = plain.sum_of_squares.nearest();
        self.residual_deviation = (self.chi_squared / freedom).sqrt();
        self.u_next = usual * size;
        let consistency = chi_squared_upper(self.chi_squared, freedom);
        let surprising = freedom > 0.0 && self.chi_squared > freedom && consistency <= SIGNIFICANT;
        if !surprising {
            if freedom > 0.0 {
                self.degrees_of_freedom = doubted_freedom(self.chi_squared, freedom, consistency);
            }
            self.take(plain, DoubleDouble::ONE, size);
            return Ok(());
        }
        let more = excess(columns, values, u)?;
        let total = more.variance + usual * usual;
        self.excess_u = more.variance.sqrt() * size;
        self.u_next = total.sqrt() * size;
        let own = whole_degrees((total * more.trace).powi(2) / freedom);
        let ratio = total.sqrt() / usual;
        self.degrees_of_freedom = freedom_with_excess(self.chi_squared, freedom, ratio, own);
        self.take(more.solution, DoubleDouble::ONE, size);
        Ok(())
    }

    fn take(&mut self, solution: Solution, variance: DoubleDouble, size: f64) {
        let nearest = |values: &[DoubleDouble], factor: f64| -> Vec<f64> {
            values.iter().map(|v| v.nearest() * factor).collect()
        };
        let sized = |value: &DoubleDouble| *value * size;
        self.coefficients = solution.coefficients.iter().map(sized).collect();
        self.residuals = nearest(&solution.residuals, size);
        self.whitened = nearest(&solution.whitened, 1.0 / variance.nearest().sqrt());
        self.leverage = solution.leverage;
        self.triangle = solution.triangle;
        self.variance = variance;
    }

    /// Residuals over the u of their readings; as they are where none is stated.
    pub(crate) fn over_u(&self) -> &[f64] {
        match self.u_known {
            true => &self.whitened,
            false => &self.residuals,
        }
    }

    /// Orthonormal columns that span the whitened design of `readings`, those that were fitted:
    /// modified Gram–Schmidt, twice.
    pub(crate) fn directions(&self, readings: &[Reading]) -> Vec<Direction> {
        let axis = Axis {
            centre: self.centre,
            scale: self.scale,
        };
        let root_weight = |r: &Reading| match self.u_known {
            true => 1.0 / r.u.hypot(self.excess_u),
            false => 1.0,
        };
        let weights: Vec<f64> = readings.iter().map(root_weight).collect();
        let mut done: Vec<Direction> = Vec::with_capacity(self.terms.len());
        let mut overlaps = Overlaps::default();
        for column in axis.columns(&self.terms, readings) {
            let met = overlaps.next(column.reach());
            let whitened = column.values.iter().zip(&weights[column.reach()]);
            let mut next = Direction {
                from: column.from,
                values: whitened.map(|(c, w)| c.nearest() * w).collect(),
            };
            for i in met.iter().chain(&met) {
                next.subtract_share_of(&done[*i]);
            }
            let norm = next.values.iter().map(|v| v * v).sum::<f64>().sqrt();
            next.values.iter_mut().for_each(|v| *v /= norm);
            done.push(next);
        }
        done
    }

    /// Forecast at `x` in the current segment.
    pub(crate) fn at(&self, x: f64) -> Option<Prediction> {
        let (_, segment, drift_segment) = *self.starts.last()?;
        Some(self.in_segment(x, segment, drift_segment))
    }

    /// Fitted value at a past `x`, in the segment that held then.
    pub(crate) fn fitted(&self, x: f64) -> Option<Prediction> {
        let begun = self.starts.partition_point(|(from, _, _)| *from <= x);
        let (_, segment, drift_segment) = *self.starts.get(begun.saturating_sub(1))?;
        Some(self.in_segment(x, segment, drift_segment))
    }

    fn in_segment(&self, x: f64, segment: u32, drift_segment: u32) -> Prediction {
        let axis = Axis {
            centre: self.centre,
            scale: self.scale,
        };
        let entry = |i: usize| (i, axis.entry(self.terms[i], x, segment, drift_segment));
        let used = self.places.of_segment(segment, drift_segment);
        let row: Vec<(usize, DoubleDouble)> = used.map(entry).collect();
        let (expected, u_curve) = self.combine(&row);
        Prediction {
            expected,
            u_error: u_curve.hypot(self.u_common),
            u_reading: u_curve.hypot(self.u_next),
            degrees_of_freedom: self.degrees_of_freedom,
            no_step: 1.0,
            no_step_at_most: 1.0,
        }
    }

    /// Value and standard uncertainty of the combination `row` of coefficients, by place; all
    /// others are nought.
    pub(crate) fn combine(&self, row: &[(usize, DoubleDouble)]) -> (f64, f64) {
        let parts = row.iter().map(|(i, share)| *share * self.coefficients[*i]);
        let value = parts.fold(DoubleDouble::ZERO, |sum, part| sum + part);
        (value.nearest(), self.variance_of(row).sqrt().nearest())
    }

    /// Variance of a combination. Factor by factor, so that values near 1e±200 do not overflow
    /// before they are small.
    fn variance_of(&self, row: &[(usize, DoubleDouble)]) -> DoubleDouble {
        self.triangle.variance(row) * self.variance * self.size * self.size
    }

    /// Drift at `x` in the current segment with its standard uncertainty, per unit of x;
    /// the season, which comes back every year, is no drift.
    pub(crate) fn drift(&self, x: f64) -> (f64, f64) {
        let current = self.starts.last().map_or(0, |start| start.2);
        let t = DoubleDouble::difference(x, self.centre) / self.scale;
        let slope = |i: usize| match self.terms[i] {
            Term::Power { power, .. } => (i, t.power(power - 1) * f64::from(power) / self.scale),
            _ => (i, DoubleDouble::ZERO),
        };
        let row: Vec<(usize, DoubleDouble)> = self.places.powers(current).map(slope).collect();
        self.combine(&row)
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
