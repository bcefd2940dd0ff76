/*! Effects of the Poisson model of rates, by Newton's method on its likelihood.

The likelihood is concave, so that the search ends at the same place from any start: the
common rate of all cells. Its second derivatives there also give the covariance.
Source: P. McCullagh and J. Nelder, Generalized Linear Models (1989), chapters 2 and 6.
*/

use nalgebra::{DMatrix, DVector};

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
