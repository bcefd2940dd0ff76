/*! Tests for trend and for order among residuals: Mann–Kendall, Durbin–Watson, runs.

Sources: M. G. Kendall, Rank Correlation Methods (Griffin 1975), chapters 4 and 5;
J. Durbin and G. S. Watson, "Testing for serial correlation in least squares
regression III", Biometrika 58 (1971) 1–19; runs: NIST/SEMATECH e-Handbook 1.3.5.13.
*/

use crate::stats::normal_upper_two_sided;

/// Mann–Kendall test of a monotone trend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MannKendall {
    /// Rising minus falling pairs.
    pub s: f64,
    /// Variance of S without trend, ties in both variables allowed for.
    pub variance: f64,
    /// Normal score with continuity correction.
    pub z: f64,
    /// Two-sided p.
    pub p: f64,
    /// Kendall's tau-b, −1 to 1.
    pub tau: f64,
}

/// Sums over groups of equal values that Kendall's variance needs.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct TieSums {
    /// Σ t(t − 1).
    pub pairs: f64,
    /// Σ t(t − 1)(t − 2).
    pub triples: f64,
    /// Σ t(t − 1)(2t + 5).
    pub cubic: f64,
}

pub(super) fn tie_sums(values: &[f64]) -> TieSums {
    let sorted = crate::stats::sorted(values);
    let mut sums = TieSums::default();
    for group in sorted.chunk_by(|a, b| a == b) {
        let t = group.len() as f64;
        sums.pairs += t * (t - 1.0);
        sums.triples += t * (t - 1.0) * (t - 2.0);
        sums.cubic += t * (t - 1.0) * (2.0 * t + 5.0);
    }
    sums
}

/// Mann–Kendall test of `y` against `x`. `None` below three readings or where one of
/// them never changes.
pub fn mann_kendall(x: &[f64], y: &[f64]) -> Option<MannKendall> {
    let n = x.len();
    if n < 3 || n != y.len() {
        return None;
    }
    let sign = |d: f64| f64::from(d > 0.0) - f64::from(d < 0.0);
    let mut s = 0.0;
    for i in 0..n {
        for j in i + 1..n {
            s += sign(x[j] - x[i]) * sign(y[j] - y[i]);
        }
    }
    let (tx, ty, n) = (tie_sums(x), tie_sums(y), n as f64);
    let variance = (n * (n - 1.0) * (2.0 * n + 5.0) - tx.cubic - ty.cubic) / 18.0
        + tx.triples * ty.triples / (9.0 * n * (n - 1.0) * (n - 2.0))
        + tx.pairs * ty.pairs / (2.0 * n * (n - 1.0));
    let pairs = n * (n - 1.0);
    let comparable = ((pairs - tx.pairs) * (pairs - ty.pairs)).sqrt();
    if variance <= 0.0 || comparable <= 0.0 {
        return None;
    }
    let z = (s - sign(s)) / variance.sqrt();
    Some(MannKendall {
        s,
        variance,
        z,
        p: normal_upper_two_sided(z),
        tau: 2.0 * s / comparable,
    })
}

/// Durbin–Watson test of residuals of a straight line, in order of date.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DurbinWatson {
    /// Σ(e_i − e_{i−1})²/Σe²: 2 for unrelated neighbours, towards 0 for alike ones.
    pub d: f64,
    /// Two-sided p by Durbin and Watson's exact mean and variance and a normal tail.
    pub p: f64,
    /// True where the dates are near evenly spaced (gaps within a factor of two); on
    /// uneven dates d compares neighbours whatever the time between them.
    pub evenly_spaced: bool,
}

/// Durbin–Watson of the residuals of a straight line in `x`. `None` below five readings,
/// with equal x, or zero residuals.
pub fn durbin_watson(x: &[f64], residuals: &[f64]) -> Option<DurbinWatson> {
    let n = x.len();
    let squares: f64 = residuals.iter().map(|e| e * e).sum();
    if n < 5 || n != residuals.len() || !squares.is_finite() || squares <= 0.0 {
        return None;
    }
    let steps: f64 = residuals.windows(2).map(|e| (e[1] - e[0]).powi(2)).sum();
    let d = steps / squares;
    let (mean, variance) = moments_of_d(x)?;
    let gaps = || x.windows(2).map(|x| x[1] - x[0]);
    let (least, most) = (
        gaps().fold(f64::INFINITY, f64::min),
        gaps().fold(0.0, f64::max),
    );
    Some(DurbinWatson {
        d,
        p: normal_upper_two_sided((d - mean) / variance.sqrt()),
        evenly_spaced: most <= 2.0 * least,
    })
}

/// Exact mean and variance of d for the design [1, x] (Durbin and Watson 1971):
/// E = tr(MA)/(n − 2), V = 2[tr((MA)²) − E·tr(MA)]/((n − 2)n).
fn moments_of_d(x: &[f64]) -> Option<(f64, f64)> {
    let n = x.len();
    let size = n as f64;
    let mean = x.iter().sum::<f64>() / size;
    let spread: f64 = x.iter().map(|x| (x - mean).powi(2)).sum();
    // Orthonormal columns of the design; the constant is in the null space of A.
    let along: Vec<f64> = x.iter().map(|x| (x - mean) / spread.sqrt()).collect();
    if along.iter().any(|a| !a.is_finite()) {
        return None;
    }
    // A = DᵀD with first differences D; A·along by neighbours.
    let image: Vec<f64> = (0..n)
        .map(|i| {
            let before = if i > 0 { along[i] - along[i - 1] } else { 0.0 };
            let after = if i + 1 < n {
                along[i] - along[i + 1]
            } else {
                0.0
            };
            before + after
        })
        .collect();
    let quadratic: f64 = along.iter().zip(&image).map(|(a, b)| a * b).sum();
    let image_squared: f64 = image.iter().map(|b| b * b).sum();
    let trace = 2.0 * (size - 1.0) - quadratic;
    // tr A² = Σ diagonal² + off-diagonal², A tridiagonal with 1, 2 … 2, 1 and −1.
    let trace_of_square = 6.0 * size - 8.0 - 2.0 * image_squared + quadratic * quadratic;
    let expected = trace / (size - 2.0);
    let variance = 2.0 * (trace_of_square - expected * trace) / ((size - 2.0) * size);
    (variance > 0.0).then_some((expected, variance))
}

/// Wald–Wolfowitz runs of signs about zero: (runs, expected, two-sided p with continuity
/// correction). `None` with fewer than two values on either side.
pub fn runs(residuals: &[f64]) -> Option<(usize, f64, f64)> {
    let signs: Vec<bool> = residuals
        .iter()
        .filter(|e| **e != 0.0)
        .map(|e| *e > 0.0)
        .collect();
    let above = signs.iter().filter(|s| **s).count() as f64;
    let below = signs.len() as f64 - above;
    if above < 2.0 || below < 2.0 {
        return None;
    }
    let runs = signs.chunk_by(|a, b| a == b).count();
    let (n, product) = (above + below, 2.0 * above * below);
    let expected = product / n + 1.0;
    let variance = product * (product - n) / (n * n * (n - 1.0));
    let distance = ((runs as f64 - expected).abs() - 0.5).max(0.0);
    Some((
        runs,
        expected,
        normal_upper_two_sided(distance / variance.sqrt()),
    ))
}

#[cfg(test)]
mod tests {
    use super::super::least_squares::Noise;
    use super::super::polynomial::fit_polynomial;
    use super::super::reference::{agrees, days_and_errors, json, number};
    use super::*;
    use crate::stats::shapiro_wilk;

    #[test]
    fn tests_of_five_histories() {
        for (name, folder) in [
            ("outliers15", "trend"),
            ("ties40", "trend"),
            ("autocorrelated60", "trend"),
            ("standard_resistor_checks", "handbook"),
            ("mass_checks", "handbook"),
        ] {
            let (x, y) = days_and_errors(&format!("{folder}/{name}.csv"));
            let results = &json(&format!("trend/{name}_py.json"))["results"];
            let found = mann_kendall(&x, &y).unwrap();
            let reference = &results["mann_kendall"];
            assert_eq!(found.s, number(&reference["s"]));
            agrees(name, found.variance, number(&reference["variance"]), 12.0);
            agrees(name, found.z, number(&reference["z_with_continuity"]), 12.0);
            agrees(name, found.tau, number(&reference["tau_b"]), 12.0);
            let fit = fit_polynomial(&x, &y, 1, true, Noise::Unknown).unwrap();
            let ols = &results["ols"];
            let watson = durbin_watson(&x, &fit.residuals).unwrap();
            agrees(name, watson.d, number(&ols["durbin_watson"]), 10.0);
            // R and scipy agree with each other to 1e-9 here.
            let normality = shapiro_wilk(&fit.residuals).unwrap();
            agrees(name, normality.w, number(&ols["shapiro_wilk_w"]), 8.5);
            agrees(name, normality.p, number(&ols["shapiro_wilk_p"]), 6.5);
        }
    }

    /// For evenly spaced dates and no slope in the residuals, d of white noise is near 2;
    /// the moments are checked against the identity of the intercept-only bound.
    #[test]
    fn moments_are_near_two() {
        let x: Vec<f64> = (0..100).map(f64::from).collect();
        let (mean, variance) = moments_of_d(&x).unwrap();
        assert!((mean - 2.0).abs() < 0.05 && (variance - 4.0 / 100.0).abs() < 0.005);
    }

    #[test]
    fn runs_of_alternating_signs() {
        let zigzag: Vec<f64> = (0..12)
            .map(|i| if i % 2 == 0 { 1.0 } else { -1.0 })
            .collect();
        let (count, expected, p) = runs(&zigzag).unwrap();
        assert_eq!((count, expected), (12, 7.0));
        assert!(p < 0.01);
        assert!(runs(&[1.0; 5]).is_none());
    }
}
