/*! Factors of the wider bands: simultaneous over all dates, and tolerance intervals.

Multiply the simultaneous factor by the standard uncertainty of the fitted line, and
the tolerance factor by the standard deviation of single readings.
*/

use crate::stats::{chi_squared_quantile, fisher_quantile, quantile};

/// Factor of a confidence band that holds at all dates at once, `√(p·F(level; p, ν))`
/// (H. Working and H. Hotelling, J. Amer. Statist. Assoc. 24 (1929) 73–85; H. Scheffé,
/// The Analysis of Variance, Wiley 1959), for `parameters` coefficients.
pub fn simultaneous_factor(level: f64, parameters: u32, degrees_of_freedom: f64) -> f64 {
    let p = f64::from(parameters);
    (p * fisher_quantile(level, p, degrees_of_freedom)).sqrt()
}

/// Factor k of a two-sided tolerance interval `fit ± k·s` that holds at least `share` of
/// single readings at one date with probability `level` (W. G. Howe, J. Amer. Statist.
/// Assoc. 64 (1969) 610–620; NIST/SEMATECH e-Handbook 7.2.6.3).
///
/// `u_fit_over_s` is the standard uncertainty of the fitted value over s: 1/√n for a mean.
pub fn tolerance_factor(share: f64, level: f64, u_fit_over_s: f64, degrees_of_freedom: f64) -> f64 {
    let z = quantile(0.5 + 0.5 * share, f64::INFINITY);
    let width = (1.0 + u_fit_over_s * u_fit_over_s).sqrt();
    if degrees_of_freedom.is_infinite() {
        return z * width;
    }
    let low = chi_squared_quantile(1.0 - level, degrees_of_freedom);
    z * width * (degrees_of_freedom / low).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// e-Handbook 7.2.6.3: 43 wafers, 90 % of the population at 99 % confidence: k = 2.217.
    #[test]
    fn handbook_tolerance_factor() {
        let k = tolerance_factor(0.90, 0.99, 1.0 / 43f64.sqrt(), 42.0);
        assert!((k - 2.217).abs() < 1e-3, "{k}");
    }

    /// For one parameter the simultaneous factor is Student's quantile.
    #[test]
    fn one_parameter_is_student() {
        let factor = simultaneous_factor(0.95, 1, 10.0);
        assert!((factor - quantile(0.975, 10.0)).abs() < 1e-9);
        let two = simultaneous_factor(0.95, 2, f64::INFINITY);
        assert!((two - 5.991_464_547_107_98f64.sqrt()).abs() < 1e-9);
    }
}
