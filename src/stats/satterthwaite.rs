/*! Effective degrees of freedom of a sum of variances (JCGM 100:2008, G.4). */

/// Effective degrees of freedom of independent variances, each given with its own
/// degrees of freedom: `(Σv)² / Σ(v²/ν)` (JCGM 100:2008, equation G.2b).
///
/// Infinite where every part is known absolutely; NaN where nothing is added.
pub fn welch_satterthwaite(parts: &[(f64, f64)]) -> f64 {
    let total: f64 = parts.iter().map(|(variance, _)| variance).sum();
    let spread: f64 = parts
        .iter()
        // Relative to the total, so that variances near 1e±300 neither overflow nor vanish.
        .map(|(variance, freedom)| (variance / total).powi(2) / freedom)
        .sum();
    1.0 / spread
}

/// Rounded down to a whole number, at least one, as JCGM 100:2008, G.4.1 permits; the
/// allowance keeps 9.999 999 9 (rounding) from becoming 9.
pub fn whole_degrees(freedom: f64) -> f64 {
    const ROUNDING: f64 = 1e-6;
    if freedom.is_finite() {
        (freedom + ROUNDING).floor().max(1.0)
    } else {
        freedom
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100:2008, H.1.6: end gauge, uc = 32 nm, effective degrees of freedom 16.
    #[test]
    fn gum_end_gauge() {
        let parts = [
            (25.0f64.powi(2), 18.0),
            (9.7f64.powi(2), 25.6),
            (2.9f64.powi(2), 50.0),
            (16.6f64.powi(2), 2.0),
        ];
        assert_eq!(welch_satterthwaite(&parts).floor(), 16.0);
    }

    #[test]
    fn known_parts_are_infinite_and_single_parts_keep_theirs() {
        assert_eq!(welch_satterthwaite(&[(1.0, f64::INFINITY)]), f64::INFINITY);
        assert!((welch_satterthwaite(&[(1e-310, 7.0)]) - 7.0).abs() < 1e-9);
        assert_eq!(whole_degrees(9.999_999_9), 10.0);
        assert_eq!(whole_degrees(9.7), 9.0);
        assert_eq!(whole_degrees(0.4), 1.0);
        assert_eq!(whole_degrees(f64::INFINITY), f64::INFINITY);
    }
}
