/*! Means of dependent data with honest errors. */

/// Ratio of two sums and its standard error, from paired values of independent units.
///
/// With r = Σa/Σb the residuals a − r·b have mean zero; their scatter gives the error
/// (W. G. Cochran, *Sampling Techniques*, 3rd ed. 1977, chapter 6; from memory).
/// NaN error from fewer than two units.
pub fn ratio(a: &[f64], b: &[f64]) -> (f64, f64) {
    let n = a.len() as f64;
    let (sum_a, sum_b) = (a.iter().sum::<f64>(), b.iter().sum::<f64>());
    let ratio = sum_a / sum_b;
    if a.len() < 2 {
        return (ratio, f64::NAN);
    }
    let squares: f64 = a.iter().zip(b).map(|(a, b)| (a - ratio * b).powi(2)).sum();
    (ratio, (squares / (n - 1.0) * n).sqrt() / sum_b.abs())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ratio_of_constants_has_no_error() {
        let (ratio, error) = ratio(&[2.0, 4.0, 6.0], &[1.0, 2.0, 3.0]);
        assert_eq!(ratio, 2.0);
        assert!(error < 1e-12);
    }

    #[test]
    fn the_error_of_a_mean_is_the_textbook_one() {
        // b = 1: the ratio is the mean of a, its error s/√n = √(5/3)/2 for 1, 2, 3, 4.
        let (ratio, error) = ratio(&[1.0, 2.0, 3.0, 4.0], &[1.0; 4]);
        assert_eq!(ratio, 2.5);
        assert!((error - (5.0f64 / 3.0).sqrt() / 2.0).abs() < 1e-12);
    }
}
