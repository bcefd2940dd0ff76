/*! What single readings do to a fit, and whether the model fits at all.

Sources: R. D. Cook and S. Weisberg, Residuals and Influence in Regression
(Chapman & Hall 1982), chapters 2 and 3; lack of fit: NIST/SEMATECH e-Handbook
4.4.4.6.
*/

use super::polynomial::PolynomialFit;
use crate::stats::{chi_squared_upper, fisher_upper};

/// Influence of one reading on its fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Influence {
    /// Weight of the reading in its own fitted value, 0 to 1.
    pub leverage: f64,
    /// Residual over its standard deviation, scale from all residuals.
    pub standardised: f64,
    /// The same with the scale from the other readings: Student's t, n − p − 1 degrees.
    pub deleted: f64,
    /// Cook's distance: how far the whole fit moves without the reading.
    pub cook: f64,
}

/// Influence of every reading; NaN where leverage is one or no degree of freedom is left.
pub fn influence(fit: &PolynomialFit) -> Vec<Influence> {
    let freedom = fit.degrees_of_freedom;
    let p = fit.powers.len() as f64;
    let deviation = fit.residual_deviation;
    fit.whitened
        .iter()
        .zip(&fit.leverage)
        .map(|(residual, leverage)| {
            let left = 1.0 - leverage;
            let standardised = residual / (deviation * left.sqrt());
            let square = standardised * standardised;
            Influence {
                leverage: *leverage,
                standardised,
                deleted: standardised * ((freedom - 1.0) / (freedom - square)).sqrt(),
                cook: square * leverage / (p * left),
            }
        })
        .collect()
}

/// Test of a model against repeated readings or stated uncertainties.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FitTest {
    /// F ratio, or χ².
    pub statistic: f64,
    /// Degrees of freedom of what the model leaves unexplained.
    pub freedom: f64,
    /// Degrees of freedom of pure error; infinite for χ².
    pub pure_freedom: f64,
    /// Probability of a larger statistic where the model holds.
    pub p: f64,
}

/// Lack-of-fit F test from repeated x: scatter of the group means about the fit against
/// scatter inside the groups. `None` without repeats or without more different x than terms.
pub fn lack_of_fit(x: &[f64], y: &[f64], fit: &PolynomialFit) -> Option<FitTest> {
    let mut order: Vec<usize> = (0..x.len()).collect();
    order.sort_by(|a, b| x[*a].total_cmp(&x[*b]));
    let (mut pure, mut groups, mut start) = (0.0, 0usize, 0);
    while start < order.len() {
        let end = (start..order.len())
            .find(|i| x[order[*i]] != x[order[start]])
            .unwrap_or(order.len());
        let group = &order[start..end];
        let first = y[group[0]];
        // About the first value, so that equal digits cancel before they are squared.
        let mean = group.iter().map(|i| y[*i] - first).sum::<f64>() / group.len() as f64;
        pure += group
            .iter()
            .map(|i| (y[*i] - first - mean).powi(2))
            .sum::<f64>();
        groups += 1;
        start = end;
    }
    let (n, p) = (x.len(), fit.powers.len());
    if groups == n || groups <= p || pure <= 0.0 {
        return None;
    }
    let (freedom, pure_freedom) = ((groups - p) as f64, (n - groups) as f64);
    let residual: f64 = fit.residuals.iter().map(|r| r * r).sum();
    let statistic = ((residual - pure) / freedom) / (pure / pure_freedom);
    Some(FitTest {
        statistic,
        freedom,
        pure_freedom,
        p: fisher_upper(statistic, freedom, pure_freedom),
    })
}

/// χ² of the residuals against the stated u; `None` where u is unknown.
pub fn consistency(fit: &PolynomialFit) -> Option<FitTest> {
    (fit.absolute && fit.degrees_of_freedom > 0.0).then(|| FitTest {
        statistic: fit.chi_squared,
        freedom: fit.degrees_of_freedom,
        pure_freedom: f64::INFINITY,
        p: chi_squared_upper(fit.chi_squared, fit.degrees_of_freedom),
    })
}
