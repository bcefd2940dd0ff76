/*! Least squares in double-double arithmetic: the core of every general drift model.

The design's columns are made orthogonal by modified Gram–Schmidt (a QR
decomposition) in 106-bit arithmetic, so that what is lost is what the data
themselves have lost, not what the computation loses. Weights whiten the rows first. Columns are
kept where they are not zero, and so is R, so that a record with a level for each of thousands
of adjustments costs what its readings cost. Sources: Å. Björck, Numerical Methods for Least Squares
Problems (SIAM 1996), sections 2.4 and 4.3; arithmetic: `stats::DoubleDouble`.
*/

use super::column::{Column, Overlaps};
use crate::stats::DoubleDouble;
use std::collections::BTreeMap;

/// A column is dependent where orthogonalising leaves less than this share of its norm:
/// below it the result rests on the last digits of the data.
const DEPENDENT: f64 = 1e-13;

/// What is known of the readings' noise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Noise<'a> {
    /// Equal and unknown: the residuals say how large.
    Unknown,
    /// Standard uncertainties known absolutely.
    Known(&'a [f64]),
}

/// Why a least-squares problem has no answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub(crate) enum LeastSquaresError {
    /// Fewer readings than coefficients.
    #[error("{readings} readings cannot determine {coefficients} coefficients")]
    TooFew {
        /// Readings given.
        readings: usize,
        /// Coefficients asked for.
        coefficients: usize,
    },
    /// A column of the design is a combination of those before it.
    #[error("term {0} cannot be told apart from the terms before it: too few different dates")]
    Dependent(usize),
    /// Dates enough, but some of them so close together that they count as one.
    #[error("the dates are too close together to determine {0} coefficients")]
    TooClose(usize),
    /// A season, and dates that do not spread over the year.
    #[error(
        "the checks keep to one time of the year, or to two half a year apart; a season needs checks that spread over the year"
    )]
    OneTimeOfYear,
    /// An uncertainty is not a positive number.
    #[error("u of reading {0} is not a positive number")]
    Uncertainty(usize),
    /// A value is not finite, or the sums leave the range of a double.
    #[error("a value is not finite or too large for double precision")]
    Range,
}

/// Solution of one least-squares problem.
#[derive(Debug, Clone)]
pub(crate) struct Solution {
    /// One coefficient a column.
    pub coefficients: Vec<DoubleDouble>,
    /// What tells the variance of any combination of them.
    pub triangle: Triangle,
    /// Observed minus fitted, in the unit of the readings.
    pub residuals: Vec<DoubleDouble>,
    /// Whitened residuals: divided by u.
    pub whitened: Vec<DoubleDouble>,
    /// Leverage of each (whitened) reading, 0 to 1.
    pub leverage: Vec<f64>,
    /// Sum of squared whitened residuals.
    pub sum_of_squares: DoubleDouble,
}

/// The upper triangle R of XᵀV⁻¹X = RᵀR, row after row, without its zeros.
#[derive(Debug, Clone, Default)]
pub(crate) struct Triangle {
    diagonal: Vec<DoubleDouble>,
    /// Right of the diagonal: column and entry, by column.
    rows: Vec<Vec<(usize, DoubleDouble)>>,
}

impl Triangle {
    /// The variance of Σ row·β is row·(RᵀR)⁻¹·rowᵀ = ‖R⁻ᵀ rowᵀ‖², to be multiplied by the
    /// residual variance where u is unknown; `row` by column, zeros left out.
    pub(crate) fn variance(&self, row: &[(usize, DoubleDouble)]) -> DoubleDouble {
        let mut open: BTreeMap<usize, DoubleDouble> = row.iter().copied().collect();
        let mut sum = DoubleDouble::ZERO;
        while let Some((i, value)) = open.pop_first() {
            let solved = value / self.diagonal[i];
            sum += solved * solved;
            for (j, entry) in &self.rows[i] {
                *open.entry(*j).or_default() -= solved * *entry;
            }
        }
        sum
    }

    fn back_substitute(&self, right: &[DoubleDouble]) -> Vec<DoubleDouble> {
        let mut x = right.to_vec();
        for i in (0..x.len()).rev() {
            for (j, entry) in &self.rows[i] {
                let known = x[*j];
                x[i] -= *entry * known;
            }
            x[i] /= self.diagonal[i];
        }
        x
    }
}

/// Takes out of column `j` what it shares with those before it that it overlaps, `met`; the shares.
fn orthogonalise(q: &mut [Column], j: usize, met: &[usize]) -> Vec<DoubleDouble> {
    let mut shares = vec![DoubleDouble::ZERO; met.len()];
    let (done, open) = q.split_at_mut(j);
    // Twice is enough (Kahan and Parlett): the second pass removes what rounding left.
    for _ in 0..2 {
        for (i, total) in met.iter().zip(&mut shares) {
            let share = done[*i].dot(&open[0]);
            *total += share;
            open[0].subtract(share, &done[*i]);
        }
    }
    shares
}

/// Solves `min ‖W(y − Xβ)‖` for the design `columns`.
pub(crate) fn solve(
    columns: &[Column],
    y: &[DoubleDouble],
    noise: Noise<'_>,
) -> Result<Solution, LeastSquaresError> {
    let (n, p) = (y.len(), columns.len());
    if n < p || p == 0 {
        return Err(LeastSquaresError::TooFew {
            readings: n,
            coefficients: p,
        });
    }
    let whitening = Whitening::new(noise, n)?;
    let mut q: Vec<Column> = columns.iter().map(|c| whitening.apply(c)).collect();
    let mut rest = whitening.apply(&whole(y));
    let mut triangle = Triangle::default();
    let mut projections = Vec::with_capacity(p);
    let mut overlaps = Overlaps::default();
    for j in 0..p {
        let before = q[j].dot(&q[j]).sqrt();
        let met = overlaps.next(q[j].reach());
        let shares = orthogonalise(&mut q, j, &met);
        let norm = q[j].dot(&q[j]).sqrt();
        if !norm.nearest().is_finite() {
            return Err(LeastSquaresError::Range);
        }
        if norm.nearest() <= DEPENDENT * before.nearest() || norm.nearest() == 0.0 {
            return Err(LeastSquaresError::Dependent(j));
        }
        q[j].values.iter_mut().for_each(|value| *value /= norm);
        for (i, share) in met.into_iter().zip(shares) {
            triangle.rows[i].push((j, share));
        }
        triangle.diagonal.push(norm);
        triangle.rows.push(Vec::new());
        let share = q[j].dot(&rest);
        rest.subtract(share, &q[j]);
        projections.push(share);
    }
    let coefficients = triangle.back_substitute(&projections);
    let residuals = residuals(columns, y, &coefficients);
    let whitened = whitening.apply(&residuals);
    let sum_of_squares = whitened.dot(&whitened);
    if !sum_of_squares.nearest().is_finite() {
        return Err(LeastSquaresError::Range);
    }
    let mut leverage = vec![0.0; n];
    for (i, entry) in q.iter().flat_map(Column::entries) {
        leverage[i] += entry.nearest().powi(2);
    }
    Ok(Solution {
        triangle,
        coefficients,
        residuals: residuals.values,
        whitened: whitened.values,
        leverage,
        sum_of_squares,
    })
}

/// Values of all readings as a column.
fn whole(values: &[DoubleDouble]) -> Column {
    Column {
        from: 0,
        values: values.to_vec(),
    }
}

/// Turns unequal noise into noise of unit variance.
enum Whitening<'a> {
    Equal,
    Divide(&'a [f64]),
}

impl<'a> Whitening<'a> {
    fn new(noise: Noise<'a>, n: usize) -> Result<Self, LeastSquaresError> {
        let Noise::Known(u) = noise else {
            return Ok(Whitening::Equal);
        };
        let usable = |value: &f64| value.is_finite() && *value > 0.0;
        match (0..n).find(|i| !u.get(*i).is_some_and(usable)) {
            Some(i) => Err(LeastSquaresError::Uncertainty(i)),
            None => Ok(Whitening::Divide(&u[..n])),
        }
    }

    fn apply(&self, column: &Column) -> Column {
        let values = match self {
            Whitening::Equal => column.values.clone(),
            Whitening::Divide(u) => {
                let pairs = column.values.iter().zip(&u[column.reach()]);
                pairs.map(|(c, u)| *c / *u).collect()
            }
        };
        Column {
            from: column.from,
            values,
        }
    }
}

fn residuals(columns: &[Column], y: &[DoubleDouble], beta: &[DoubleDouble]) -> Column {
    let mut rest = whole(y);
    for (column, coefficient) in columns.iter().zip(beta) {
        rest.subtract(*coefficient, column);
    }
    rest
}

#[cfg(test)]
mod tests {
    use super::*;

    fn doubled(values: &[f64]) -> Vec<DoubleDouble> {
        values.iter().map(|v| DoubleDouble::from(*v)).collect()
    }

    fn column(values: &[f64]) -> Column {
        whole(&doubled(values))
    }

    #[test]
    fn exact_line_is_recovered() {
        let x = [column(&[1.0; 3]), column(&[0.0, 1.0, 2.0])];
        let solved = solve(&x, &doubled(&[1.0, 3.0, 5.0]), Noise::Unknown).unwrap();
        assert_eq!(solved.coefficients[0].nearest(), 1.0);
        assert_eq!(solved.coefficients[1].nearest(), 2.0);
        assert!((solved.leverage.iter().sum::<f64>() - 2.0).abs() < 1e-15);
    }

    #[test]
    fn repeated_dates_are_dependent() {
        let x = [column(&[1.0; 3]), column(&[4.0; 3])];
        let failed = solve(&x, &doubled(&[1.0, 3.0, 5.0]), Noise::Unknown);
        assert_eq!(failed.unwrap_err(), LeastSquaresError::Dependent(1));
    }

    /// Two levels and a slope: what is left out as zero changes no digit of the answer.
    #[test]
    fn columns_without_their_zeros_are_the_same_columns() {
        let y = doubled(&[1.0, 2.5, 2.0, 7.0, 9.5]);
        let u = [0.1, 0.2, 0.1, 0.3, 0.1];
        let slope = column(&[-2.0, -1.0, 0.5, 1.0, 3.0]);
        let with_zeros = [
            column(&[1.0, 1.0, 1.0, 0.0, 0.0]),
            column(&[0.0, 0.0, 0.0, 1.0, 1.0]),
            slope.clone(),
        ];
        let level = |from: usize, values: &[f64]| Column {
            from,
            ..column(values)
        };
        let without = [level(0, &[1.0; 3]), level(3, &[1.0; 2]), slope];
        let row = [(0, DoubleDouble::ONE), (2, DoubleDouble::from(4.0))];
        let [a, b] =
            [&with_zeros, &without].map(|columns| solve(columns, &y, Noise::Known(&u)).unwrap());
        assert_eq!(a.coefficients, b.coefficients);
        assert_eq!(a.leverage, b.leverage);
        assert_eq!(a.triangle.variance(&row), b.triangle.variance(&row));
    }
}
