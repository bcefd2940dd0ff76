/*! An error as a share of its tolerance: −1 at the lower limit, +1 at the upper. */

/// The map from errors to shares; `None` where the limits allow none. One limit stands for both
/// sides of zero.
pub(super) fn share_of(
    (lower, upper): (Option<f64>, Option<f64>),
) -> Option<impl Fn(f64) -> f64 + use<>> {
    let (lower, upper) = match (lower, upper) {
        (Some(lower), Some(upper)) => (lower, upper),
        (None, Some(upper)) if upper > 0.0 => (-upper, upper),
        (Some(lower), None) if lower < 0.0 => (lower, -lower),
        _ => return None,
    };
    // Halves of the largest doubles are still numbers.
    let (middle, half) = (0.5 * lower + 0.5 * upper, 0.5 * upper - 0.5 * lower);
    (half > 0.0 && half.is_finite()).then_some(move |error: f64| (error - middle) / half)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_at_one() {
        let share = share_of((Some(-1.0), Some(3.0))).unwrap();
        assert_eq!([share(-1.0), share(1.0), share(3.0)], [-1.0, 0.0, 1.0]);
        let upper = share_of((None, Some(2.0))).unwrap();
        assert_eq!(upper(1.0), 0.5);
        assert!(share_of((None, Some(-2.0))).is_none() && share_of((None, None)).is_none());
    }
}
