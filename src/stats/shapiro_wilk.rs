/*! Shapiro–Wilk test of normality by Royston's approximation, 3 to 5000 values.

Source: P. Royston, "Remark AS R94: a remark on algorithm AS 181: the W-test for
normality", Applied Statistics 44 (1995) 547–551; its polynomial coefficients below.
*/

use super::{normal_upper_two_sided, sorted};
use statrs::distribution::{ContinuousCDF, Normal};

/// Result of the test: small `p` speaks against a normal distribution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Normality {
    /// The statistic, at most one; one for perfectly normal-looking values.
    pub w: f64,
    /// Probability of a smaller W from normal values.
    pub p: f64,
}

/// Weight of the largest value as a polynomial in 1/√n, beside its expected score.
const LARGEST: [f64; 6] = [
    0.0, 0.221_157, -0.147_981, -2.071_190, 4.434_685, -2.706_056,
];
/// The same for the second largest.
const SECOND: [f64; 6] = [
    0.0, 0.042_981, -0.293_762, -1.752_461, 5.682_633, -3.582_633,
];
/// Mean and ln of deviation of −ln(γ − ln(1 − W)), n from 4 to 11.
const MEAN_SMALL: [f64; 4] = [0.544, -0.399_78, 0.025_054, -6.714e-4];
const DEVIATION_SMALL: [f64; 4] = [1.382_2, -0.778_57, 0.062_767, -0.002_032_2];
/// Mean and ln of deviation of ln(1 − W) as polynomials in ln n, n from 12.
const MEAN_LARGE: [f64; 4] = [-1.586_1, -0.310_82, -0.083_751, 0.003_891_5];
const DEVIATION_LARGE: [f64; 3] = [-0.480_3, -0.082_676, 0.003_030_2];
/// γ = −2.273 + 0.459 n.
const GAMMA: [f64; 2] = [-2.273, 0.459];

/// Tests whether `values` look like a normal sample; `None` below 3 or above 5000
/// values, or where all are equal.
pub(crate) fn shapiro_wilk(values: &[f64]) -> Option<Normality> {
    let n = values.len();
    if !(3..=5000).contains(&n) || values.iter().any(|v| !v.is_finite()) {
        return None;
    }
    let ordered = sorted(values);
    let range = ordered[n - 1] - ordered[0];
    if !range.is_finite() || range <= 0.0 {
        return None;
    }
    let scaled: Vec<f64> = ordered.iter().map(|v| (v - ordered[0]) / range).collect();
    let mean = scaled.iter().sum::<f64>() / n as f64;
    let weights = weights(n);
    let contrast: f64 = (0..n / 2)
        .map(|i| weights[i] * (scaled[n - 1 - i] - scaled[i]))
        .sum();
    let total: f64 = scaled.iter().map(|v| (v - mean).powi(2)).sum();
    let w = (contrast * contrast / total).min(1.0);
    Some(Normality {
        w,
        p: significance(w, n),
    })
}

/// Weights of the n/2 largest values, largest first; they are antisymmetric.
fn weights(n: usize) -> Vec<f64> {
    if n == 3 {
        return vec![std::f64::consts::FRAC_1_SQRT_2];
    }
    let half = n / 2;
    let normal = Normal::standard();
    let scores: Vec<f64> = (1..=half)
        .map(|i| -normal.inverse_cdf((i as f64 - 0.375) / (n as f64 + 0.25)))
        .collect();
    let squares = 2.0 * scores.iter().map(|m| m * m).sum::<f64>();
    let root = 1.0 / (n as f64).sqrt();
    let first = scores[0] / squares.sqrt() + polynomial(&LARGEST, root);
    let mut weights = vec![first];
    let fixed = if n > 5 {
        weights.push(scores[1] / squares.sqrt() + polynomial(&SECOND, root));
        2
    } else {
        1
    };
    let (mut score_rest, mut weight_rest) = (squares, 1.0);
    for i in 0..fixed {
        score_rest -= 2.0 * scores[i] * scores[i];
        weight_rest -= 2.0 * weights[i] * weights[i];
    }
    let factor = (score_rest / weight_rest).sqrt();
    weights.extend(scores[fixed..].iter().map(|m| m / factor));
    weights
}

/// p-value of W: exact for n = 3, a normalising transform otherwise.
fn significance(w: f64, n: usize) -> f64 {
    if n == 3 {
        // W is at least 3/4 for three values.
        let p = 6.0 / std::f64::consts::PI * (w.sqrt().asin() - 0.75f64.sqrt().asin());
        return p.clamp(0.0, 1.0);
    }
    let deficit = (1.0 - w).max(f64::MIN_POSITIVE).ln();
    let size = n as f64;
    let (transformed, mean, log_deviation) = if n <= 11 {
        let gamma = polynomial(&GAMMA, size);
        if deficit >= gamma {
            return 0.0;
        }
        let transformed = -(gamma - deficit).ln();
        (
            transformed,
            polynomial(&MEAN_SMALL, size),
            polynomial(&DEVIATION_SMALL, size),
        )
    } else {
        let log = size.ln();
        (
            deficit,
            polynomial(&MEAN_LARGE, log),
            polynomial(&DEVIATION_LARGE, log),
        )
    };
    let z = (transformed - mean) / log_deviation.exp();
    let tail = 0.5 * normal_upper_two_sided(z);
    if z >= 0.0 { tail } else { 1.0 - tail }
}

fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn degenerate_samples_have_no_test() {
        assert!(shapiro_wilk(&[1.0, 2.0]).is_none());
        assert!(shapiro_wilk(&[5.0; 10]).is_none());
        assert!(shapiro_wilk(&[1.0, f64::NAN, 2.0]).is_none());
    }

    /// Three equally spaced values lie exactly on a normal line: W = 1, p = 1.
    #[test]
    fn three_equally_spaced_values() {
        let test = shapiro_wilk(&[1.0, 2.0, 3.0]).unwrap();
        assert!((test.w - 1.0).abs() < 1e-14 && (test.p - 1.0).abs() < 1e-7);
    }
}
