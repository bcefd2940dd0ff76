/*! Effective degrees of freedom of a sum of variances (JCGM 100:2008, G.4). */

/// Rounded down to a whole number, at least one, as JCGM 100:2008, G.4.1 permits; the
/// allowance keeps 9.999 999 9 (rounding) from becoming 9.
pub(crate) fn whole_degrees(freedom: f64) -> f64 {
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

    #[test]
    fn whole_degrees_are_rounded_down() {
        assert_eq!(whole_degrees(9.999_999_9), 10.0);
        assert_eq!(whole_degrees(9.7), 9.0);
        assert_eq!(whole_degrees(0.4), 1.0);
        assert_eq!(whole_degrees(f64::INFINITY), f64::INFINITY);
    }
}
