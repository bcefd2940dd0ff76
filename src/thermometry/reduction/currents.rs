/*! When two measuring currents are one. */

/// Two currents nearer than this are one current: R at zero power would carry more than ten times
/// the scatter of the readings (our own choice, no source).
const SAME_CURRENT: f64 = 1.05;

/// True for one current, noted with more or fewer digits; two that were not noted are equal too.
pub(crate) fn same_current(a: f64, b: f64) -> bool {
    match a.is_nan() || b.is_nan() {
        true => a.is_nan() && b.is_nan(),
        false => a.max(b) <= SAME_CURRENT * a.min(b),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::SQRT_2;

    #[test]
    fn currents_logged_with_five_digits_are_one() {
        assert!(same_current(1.0, 1.0001) && same_current(f64::NAN, f64::NAN));
        assert!(!same_current(1.0, SQRT_2) && !same_current(1.0, f64::NAN));
        assert!(!same_current(1.0, 0.0));
    }
}
