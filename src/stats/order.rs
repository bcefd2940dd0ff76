/*! Order statistics: sorted copies and medians, with a total order so that NaN cannot panic. */

/// Ascending copy of `values`.
pub(crate) fn sorted(values: &[f64]) -> Vec<f64> {
    let mut copy = values.to_vec();
    copy.sort_unstable_by(f64::total_cmp);
    copy
}

/// Median of values that are already ascending; NaN where there is none.
pub(crate) fn median_of_sorted(sorted: &[f64]) -> f64 {
    let n = sorted.len();
    match n {
        0 => f64::NAN,
        _ if n % 2 == 1 => sorted[n / 2],
        // Halved before the sum, so that values near 1e308 do not overflow.
        _ => 0.5 * sorted[n / 2 - 1] + 0.5 * sorted[n / 2],
    }
}

/// Median of `values`; NaN where there is none.
pub(crate) fn median(values: &[f64]) -> f64 {
    median_of_sorted(&sorted(values))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn median_of_odd_even_and_none() {
        assert_eq!(median(&[3.0, 1.0, 2.0]), 2.0);
        assert_eq!(median(&[4.0, 1.0, 2.0, 3.0]), 2.5);
        assert_eq!(median(&[1e308, 1.2e308]), 1.1e308);
        assert!(median(&[]).is_nan());
    }
}
