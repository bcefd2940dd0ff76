/*! Least squares in double-double arithmetic: the core of every general drift model.

The design's columns are made orthogonal by modified Gram–Schmidt (a QR
decomposition) in 106-bit arithmetic, so that what is lost is what the data
themselves have lost, not what the computation loses. Weights whiten the rows first. Sources: Å. Björck, Numerical Methods for Least Squares
Problems (SIAM 1996), sections 2.4 and 4.3; arithmetic: `stats::DoubleDouble`.
*/

use crate::stats::DoubleDouble;

/// A column is dependent where orthogonalising leaves less than this share of its norm:
/// below it the result rests on the last digits of the data.
const DEPENDENT: f64 = 1e-13;

/// What is known of the readings' noise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Noise<'a> {
    /// Equal and unknown: the residuals say how large.
    Unknown,
    /// Standard uncertainties known absolutely.
    Known(&'a [f64]),
}

/// Why a least-squares problem has no answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum LeastSquaresError {
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
    OneSeason,
    /// An uncertainty is not a positive number.
    #[error("u of reading {0} is not a positive number")]
    Uncertainty(usize),
    /// A value is not finite, or the sums leave the range of a double.
    #[error("a value is not finite or too large for double precision")]
    Range,
}

/// Solution of one least-squares problem.
#[derive(Debug, Clone)]
pub struct Solution {
    /// One coefficient a column.
    pub coefficients: Vec<DoubleDouble>,
    /// (XᵀV⁻¹X)⁻¹, row after row, to be multiplied by the residual variance where u is unknown.
    pub inverse: Vec<DoubleDouble>,
    /// Observed minus fitted, in the unit of the readings.
    pub residuals: Vec<DoubleDouble>,
    /// Whitened residuals: divided by u.
    pub whitened: Vec<DoubleDouble>,
    /// Leverage of each (whitened) reading, 0 to 1.
    pub leverage: Vec<f64>,
    /// Sum of squared whitened residuals.
    pub sum_of_squares: DoubleDouble,
}

/// Solves `min ‖W(y − Xβ)‖` for the design `columns` (each as long as `y`).
pub fn solve(
    columns: &[Vec<DoubleDouble>],
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
    let mut q: Vec<Vec<DoubleDouble>> = columns.iter().map(|c| whitening.apply(c)).collect();
    let mut rest = whitening.apply(y);
    let mut r = vec![DoubleDouble::ZERO; p * p];
    let mut projections = Vec::with_capacity(p);
    for j in 0..p {
        let before = dot(&q[j], &q[j]).sqrt();
        // Twice is enough (Kahan and Parlett): the second pass removes what rounding left.
        for _ in 0..2 {
            for i in 0..j {
                let (done, open) = q.split_at_mut(j);
                let share = dot(&done[i], &open[0]);
                r[i * p + j] += share;
                subtract(&mut open[0], share, &done[i]);
            }
        }
        let norm = dot(&q[j], &q[j]).sqrt();
        if !norm.nearest().is_finite() {
            return Err(LeastSquaresError::Range);
        }
        if norm.nearest() <= DEPENDENT * before.nearest() || norm.nearest() == 0.0 {
            return Err(LeastSquaresError::Dependent(j));
        }
        q[j].iter_mut().for_each(|value| *value /= norm);
        r[j * p + j] = norm;
        let share = dot(&q[j], &rest);
        subtract(&mut rest, share, &q[j]);
        projections.push(share);
    }
    let coefficients = back_substitute(&r, &projections, p);
    let residuals = residuals(columns, y, &coefficients);
    let whitened = whitening.apply(&residuals);
    let sum_of_squares = dot(&whitened, &whitened);
    if !sum_of_squares.nearest().is_finite() {
        return Err(LeastSquaresError::Range);
    }
    let leverage = (0..n)
        .map(|i| q.iter().map(|column| column[i].nearest().powi(2)).sum())
        .collect();
    Ok(Solution {
        inverse: inverse_of_square(&r, p),
        coefficients,
        residuals,
        whitened,
        leverage,
        sum_of_squares,
    })
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

    fn apply(&self, column: &[DoubleDouble]) -> Vec<DoubleDouble> {
        match self {
            Whitening::Equal => column.to_vec(),
            Whitening::Divide(u) => column.iter().zip(*u).map(|(c, u)| *c / *u).collect(),
        }
    }
}

fn dot(a: &[DoubleDouble], b: &[DoubleDouble]) -> DoubleDouble {
    a.iter()
        .zip(b)
        .fold(DoubleDouble::ZERO, |sum, (x, y)| sum + *x * *y)
}

fn subtract(column: &mut [DoubleDouble], share: DoubleDouble, direction: &[DoubleDouble]) {
    for (value, along) in column.iter_mut().zip(direction) {
        *value -= share * *along;
    }
}

fn back_substitute(r: &[DoubleDouble], right: &[DoubleDouble], p: usize) -> Vec<DoubleDouble> {
    let mut x = right.to_vec();
    for i in (0..p).rev() {
        for j in i + 1..p {
            let known = x[j];
            x[i] -= r[i * p + j] * known;
        }
        x[i] /= r[i * p + i];
    }
    x
}

fn residuals(
    columns: &[Vec<DoubleDouble>],
    y: &[DoubleDouble],
    beta: &[DoubleDouble],
) -> Vec<DoubleDouble> {
    let mut rest = y.to_vec();
    for (column, coefficient) in columns.iter().zip(beta) {
        subtract(&mut rest, *coefficient, column);
    }
    rest
}

/// (RᵀR)⁻¹ = R⁻¹R⁻ᵀ for upper triangular R.
fn inverse_of_square(r: &[DoubleDouble], p: usize) -> Vec<DoubleDouble> {
    let columns: Vec<Vec<DoubleDouble>> = (0..p)
        .map(|j| {
            let mut unit = vec![DoubleDouble::ZERO; p];
            unit[j] = DoubleDouble::ONE;
            back_substitute(r, &unit, p)
        })
        .collect();
    let mut inverse = Vec::with_capacity(p * p);
    for i in 0..p {
        for j in 0..p {
            inverse.push((0..p).fold(DoubleDouble::ZERO, |sum, k| {
                sum + columns[k][i] * columns[k][j]
            }));
        }
    }
    inverse
}

#[cfg(test)]
mod tests {
    use super::*;

    fn column(values: &[f64]) -> Vec<DoubleDouble> {
        values.iter().map(|v| DoubleDouble::from(*v)).collect()
    }

    #[test]
    fn exact_line_is_recovered() {
        let x = [column(&[1.0; 3]), column(&[0.0, 1.0, 2.0])];
        let solved = solve(&x, &column(&[1.0, 3.0, 5.0]), Noise::Unknown).unwrap();
        assert_eq!(solved.coefficients[0].nearest(), 1.0);
        assert_eq!(solved.coefficients[1].nearest(), 2.0);
        assert!((solved.leverage.iter().sum::<f64>() - 2.0).abs() < 1e-15);
    }

    #[test]
    fn repeated_dates_are_dependent() {
        let x = [column(&[1.0; 3]), column(&[4.0; 3])];
        let failed = solve(&x, &column(&[1.0, 3.0, 5.0]), Noise::Unknown);
        assert_eq!(failed.unwrap_err(), LeastSquaresError::Dependent(1));
    }
}
