/*! Effects of the Poisson model of rates: a start by linfa, then Newton's method.

linfa-linear's generalised linear model has no offset and no weights, so each cell is
given as pieces of equal exposure that share its failures evenly: the offset becomes a
constant and moves into the intercept, and the score equations are those of the whole
cell. (Its deviance at power exactly 1 does not match its gradient in version 0.8.1, so
the power is set a hair above.) Rounding to whole pieces is then taken out by Newton
steps with the true exposures, which also give the covariance.
Source: P. McCullagh and J. Nelder, Generalized Linear Models (1989), chapters 2 and 6.
*/

use linfa::Dataset;
use linfa::traits::Fit;
use linfa_linear::{Link, TweedieRegressor};
use nalgebra::{DMatrix, DVector};
use ndarray::{Array1, Array2};

/// Pieces of equal exposure over all cells: enough for three digits of the start.
const PIECES: f64 = 2_000.0;
/// Power of the variance: Poisson's 1, moved off the exact value (see the top).
const POWER: f64 = 1.000_01;

/// The effects by linfa on pieces of equal exposure; `None` where it fails.
pub(super) fn by_linfa(
    design: &DMatrix<f64>,
    counts: &DVector<f64>,
    years: &DVector<f64>,
) -> Option<DVector<f64>> {
    let piece = years.sum() / PIECES;
    let pieces: Vec<usize> = years
        .iter()
        .map(|e| (e / piece).round().max(1.0) as usize)
        .collect();
    let rows: Vec<usize> = (pieces.iter().enumerate())
        .flat_map(|(cell, n)| std::iter::repeat_n(cell, *n))
        .collect();
    let x = Array2::from_shape_fn((rows.len(), design.ncols() - 1), |(i, j)| {
        design[(rows[i], j + 1)]
    });
    let y = Array1::from_shape_fn(rows.len(), |i| counts[rows[i]] / pieces[rows[i]] as f64);
    let model = TweedieRegressor::params()
        .power(POWER)
        .link(Link::Log)
        .alpha(0.0)
        .tol(1e-8)
        .max_iter(200)
        .fit(&Dataset::new(x, y))
        .ok()?;
    let mut effects = DVector::zeros(design.ncols());
    effects[0] = model.intercept - piece.ln();
    for (j, effect) in model.coef.iter().enumerate() {
        effects[j + 1] = *effect;
    }
    effects.iter().all(|e| e.is_finite()).then_some(effects)
}

/// Failures per year in every cell.
pub(super) fn rates(design: &DMatrix<f64>, effects: &DVector<f64>) -> DVector<f64> {
    (design * effects).map(f64::exp)
}

/// Newton's method on the Poisson likelihood with offset; the effects and their information.
pub(super) fn newton(
    design: &DMatrix<f64>,
    counts: &DVector<f64>,
    years: &DVector<f64>,
    mut effects: DVector<f64>,
) -> Option<(DVector<f64>, DMatrix<f64>)> {
    for _ in 0..60 {
        let expected = rates(design, &effects).component_mul(years);
        let weighted = DMatrix::from_fn(design.nrows(), design.ncols(), |i, j| {
            design[(i, j)] * expected[i]
        });
        let information = design.transpose() * weighted;
        let score = design.transpose() * (counts - &expected);
        let step = information.clone().cholesky()?.solve(&score);
        let longest = step.amax();
        if !longest.is_finite() {
            return None;
        }
        // A factor of e at most: far from the top the quadratic is not to be trusted.
        effects += &step * (1.0 / longest).min(1.0);
        if longest < 1e-12 {
            return Some((effects, information));
        }
    }
    None
}

/// Poisson deviance of `counts` about what is expected.
pub(super) fn deviance(counts: &DVector<f64>, expected: &DVector<f64>) -> f64 {
    let part = |(y, m): (&f64, &f64)| {
        let log = if *y > 0.0 { y * (y / m).ln() } else { 0.0 };
        2.0 * (log - (y - m))
    };
    counts.iter().zip(expected).map(part).sum()
}
