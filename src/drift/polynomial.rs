/*! Polynomial least squares with everything a person may ask of a fit.

The powers are those of a centred and scaled axis, `t = (x − centre)/scale`, so
that the columns stay far from parallel; coefficients and covariance are then
expanded to powers of x, still in double-double. Without an intercept the axis
is only scaled, since centring would bring the intercept back.
*/

use super::least_squares::{LeastSquaresError, Noise, Solution, solve};
use crate::stats::DoubleDouble;
use crate::stats::fisher_upper;

/// Fitted polynomial, in powers of x and in the centred and scaled basis.
#[derive(Debug, Clone)]
pub struct PolynomialFit {
    /// Power of each coefficient: 0 (or 1 without intercept) to the degree.
    pub powers: Vec<u32>,
    /// Coefficients of the powers of x: unit, unit per x, …
    pub coefficients: Vec<f64>,
    /// Their covariance, row after row.
    pub covariance: Vec<f64>,
    /// Zero of the internal axis `t = (x − centre)/scale`, unit of x.
    pub centre: f64,
    /// Scale of the internal axis, unit of x.
    pub scale: f64,
    /// Coefficients of the powers of t.
    pub basis_coefficients: Vec<f64>,
    /// Their covariance, row after row.
    pub basis_covariance: Vec<f64>,
    /// Degrees of freedom of the residuals, n − p.
    pub degrees_of_freedom: f64,
    /// Standard deviation of the (weighted) residuals; NaN without degrees of freedom.
    pub residual_deviation: f64,
    /// Sum of squared residuals over u²; over 1 where u is unknown.
    pub chi_squared: f64,
    /// Share of the variation explained; about zero without an intercept.
    pub r_squared: f64,
    /// Sums of squares and F of the regression.
    pub analysis_of_variance: AnalysisOfVariance,
    /// Observed minus fitted, one a reading.
    pub residuals: Vec<f64>,
    /// Residual over its u (whitened), one a reading.
    pub whitened: Vec<f64>,
    /// Leverage of each reading, 0 to 1.
    pub leverage: Vec<f64>,
    /// True where u sets the scale of the uncertainties, not the residuals.
    pub absolute: bool,
}

/// Analysis of variance of a regression.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AnalysisOfVariance {
    /// Degrees of freedom of the regression.
    pub regression_freedom: f64,
    /// Sum of squares explained.
    pub regression: f64,
    /// Degrees of freedom of the residuals.
    pub residual_freedom: f64,
    /// Sum of squares left.
    pub residual: f64,
    /// Ratio of the mean squares.
    pub f: f64,
    /// Probability of a larger F where there is nothing to explain.
    pub p: f64,
}

/// Fits `y = Σ β_k x^k` for k up to `degree`, from 1 where `intercept` is false.
///
/// `x` and `y` have one length n; needs n ≥ number of coefficients. Fails in words where
/// dates repeat too much for the degree, or a number is unusable.
pub fn fit_polynomial(
    x: &[f64],
    y: &[f64],
    degree: u32,
    intercept: bool,
    noise: Noise<'_>,
) -> Result<PolynomialFit, LeastSquaresError> {
    if x.iter().chain(y).any(|value| !value.is_finite()) || x.len() != y.len() {
        return Err(LeastSquaresError::Range);
    }
    let (centre, scale) = axis(x, intercept);
    let powers: Vec<u32> = (u32::from(!intercept)..=degree).collect();
    let t: Vec<DoubleDouble> = x
        .iter()
        .map(|x| DoubleDouble::difference(*x, centre) / scale)
        .collect();
    let columns: Vec<Vec<DoubleDouble>> = powers
        .iter()
        .map(|k| t.iter().map(|t| power(*t, *k)).collect())
        .collect();
    let values: Vec<DoubleDouble> = y.iter().map(|v| DoubleDouble::from(*v)).collect();
    let solution = solve(&columns, &values, noise)?;
    let null = if intercept {
        solve(&[vec![DoubleDouble::ONE; x.len()]], &values, noise)?.sum_of_squares
    } else {
        let zero = vec![DoubleDouble::ONE; x.len()];
        total_about_zero(&zero, &values, noise)?
    };
    Ok(describe(solution, powers, (centre, scale), null, noise))
}

fn describe(
    solution: Solution,
    powers: Vec<u32>,
    (centre, scale): (f64, f64),
    total: DoubleDouble,
    noise: Noise<'_>,
) -> PolynomialFit {
    let (n, p) = (solution.residuals.len(), powers.len());
    let freedom = (n - p) as f64;
    let sum = solution.sum_of_squares;
    let variance = sum / freedom;
    let factor = if noise.is_absolute() {
        DoubleDouble::ONE
    } else if freedom > 0.0 {
        variance
    } else {
        DoubleDouble::from(f64::NAN)
    };
    let expand = expansion(&powers, centre, scale);
    let scaled: Vec<DoubleDouble> = solution.inverse.iter().map(|c| *c * factor).collect();
    let explained = total - sum;
    let regression_freedom = (p - usize::from(powers.first() == Some(&0))) as f64;
    let f = (explained / regression_freedom / variance).nearest();
    PolynomialFit {
        coefficients: hi(&multiply(&expand, &solution.coefficients, p)),
        covariance: hi(&sandwich(&expand, &scaled, p)),
        centre,
        scale,
        basis_coefficients: hi(&solution.coefficients),
        basis_covariance: hi(&scaled),
        degrees_of_freedom: freedom,
        residual_deviation: if freedom > 0.0 {
            variance.sqrt().nearest()
        } else {
            f64::NAN
        },
        chi_squared: sum.nearest(),
        r_squared: (explained / total).nearest(),
        analysis_of_variance: AnalysisOfVariance {
            regression_freedom,
            regression: explained.nearest(),
            residual_freedom: freedom,
            residual: sum.nearest(),
            f,
            p: fisher_upper(f, regression_freedom, freedom),
        },
        residuals: hi(&solution.residuals),
        whitened: hi(&solution.whitened),
        leverage: solution.leverage,
        absolute: noise.is_absolute(),
        powers,
    }
}

impl PolynomialFit {
    /// Standard errors of `coefficients`.
    pub fn standard_errors(&self) -> Vec<f64> {
        let p = self.powers.len();
        (0..p).map(|k| self.covariance[k * p + k].sqrt()).collect()
    }

    /// Fitted value and its standard uncertainty at `x`.
    pub fn at(&self, x: f64) -> (f64, f64) {
        let t = (x - self.centre) / self.scale;
        let row: Vec<f64> = self.powers.iter().map(|k| t.powi(*k as i32)).collect();
        let p = row.len();
        let value = row
            .iter()
            .zip(&self.basis_coefficients)
            .map(|(a, b)| a * b)
            .sum();
        let variance: f64 = (0..p * p)
            .map(|k| row[k / p] * self.basis_covariance[k] * row[k % p])
            .sum();
        (value, variance.sqrt())
    }
}

/// Centre and scale that map the axis to about ±1; the centre is 0 without an intercept.
fn axis(x: &[f64], intercept: bool) -> (f64, f64) {
    let centre = if intercept {
        x.iter().map(|v| v / x.len() as f64).sum()
    } else {
        0.0
    };
    let scale = x.iter().fold(0.0, |m: f64, v| m.max((v - centre).abs()));
    (centre, if scale > 0.0 { scale } else { 1.0 })
}

fn power(t: DoubleDouble, k: u32) -> DoubleDouble {
    (0..k).fold(DoubleDouble::ONE, |product, _| product * t)
}

fn total_about_zero(
    ones: &[DoubleDouble],
    y: &[DoubleDouble],
    noise: Noise<'_>,
) -> Result<DoubleDouble, LeastSquaresError> {
    // Pythagoras: what the mean explains plus what it leaves.
    let solved = solve(&[ones.to_vec()], y, noise)?;
    let mean = solved.coefficients[0];
    Ok(mean * mean / solved.inverse[0] + solved.sum_of_squares)
}

/// Matrix that turns coefficients of t-powers into those of x-powers (binomial theorem).
fn expansion(powers: &[u32], centre: f64, scale: f64) -> Vec<DoubleDouble> {
    let p = powers.len();
    let mut matrix = vec![DoubleDouble::ZERO; p * p];
    let shift = DoubleDouble::from(-centre);
    for (column, k) in powers.iter().enumerate() {
        let mut binomial = DoubleDouble::ONE;
        for j in (0..=*k).rev() {
            if let Some(row) = powers.iter().position(|power| *power == j) {
                matrix[row * p + column] =
                    binomial * power(shift, k - j) / power(DoubleDouble::from(scale), *k);
            }
            binomial = binomial * f64::from(j) / f64::from(k - j + 1);
        }
    }
    matrix
}

fn multiply(matrix: &[DoubleDouble], vector: &[DoubleDouble], p: usize) -> Vec<DoubleDouble> {
    (0..p)
        .map(|i| {
            (0..p).fold(DoubleDouble::ZERO, |sum, j| {
                sum + matrix[i * p + j] * vector[j]
            })
        })
        .collect()
}

/// A C Aᵀ.
fn sandwich(a: &[DoubleDouble], c: &[DoubleDouble], p: usize) -> Vec<DoubleDouble> {
    let mut out = Vec::with_capacity(p * p);
    for i in 0..p {
        for j in 0..p {
            let mut sum = DoubleDouble::ZERO;
            for k in 0..p {
                for l in 0..p {
                    sum += a[i * p + k] * c[k * p + l] * a[j * p + l];
                }
            }
            out.push(sum);
        }
    }
    out
}

fn hi(values: &[DoubleDouble]) -> Vec<f64> {
    values.iter().map(|v| v.nearest()).collect()
}
