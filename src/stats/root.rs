/*! The zero of a function between two points where its sign differs. */

/// Secant steps before bisection takes over: a smooth function needs about ten.
const SECANT_STEPS: usize = 40;
/// Steps after which bisection has used up every bit of a double.
const MOST_STEPS: usize = SECANT_STEPS + 1100;

/// Zero of `function` in `[low, high]` by secant steps kept safe by bisection, to the
/// last few digits; `None` where the signs at the ends do not differ or a value is NaN.
pub(crate) fn root(low: f64, high: f64, function: impl FnMut(f64) -> f64) -> Option<f64> {
    root_within(low, high, 0.0, function)
}

/// As [`root`], but content once the zero is known to `tolerance`.
pub(crate) fn root_within(
    mut low: f64,
    mut high: f64,
    tolerance: f64,
    mut function: impl FnMut(f64) -> f64,
) -> Option<f64> {
    let (mut at_low, mut at_high) = (function(low), function(high));
    if at_low == 0.0 {
        return Some(low);
    }
    if at_high == 0.0 {
        return Some(high);
    }
    if at_low.is_nan() || at_high.is_nan() || (at_low > 0.0) == (at_high > 0.0) {
        return None;
    }
    let mut kept = 0i8;
    let mut last = f64::NAN;
    for step in 0..MOST_STEPS {
        let middle = 0.5 * (low + high);
        if middle <= low.min(high) || middle >= low.max(high) {
            break;
        }
        let secant = (low * at_high - high * at_low) / (at_high - at_low);
        let inside = secant > low.min(high) && secant < low.max(high);
        let x = if step % 4 != 3 && inside {
            secant
        } else {
            middle
        };
        let value = function(x);
        if value == 0.0 || (x - last).abs() < tolerance {
            return Some(x);
        }
        last = x;
        if value.is_nan() {
            return None;
        }
        // Halving the value at the end that stays (the "Illinois" rule) keeps both ends moving.
        if (value > 0.0) == (at_low > 0.0) {
            (low, at_low) = (x, value);
            at_high *= if kept == 1 { 0.5 } else { 1.0 };
            kept = 1;
        } else {
            (high, at_high) = (x, value);
            at_low *= if kept == -1 { 0.5 } else { 1.0 };
            kept = -1;
        }
        if (high - low).abs() <= 2.0 * f64::EPSILON * low.abs().max(high.abs()) {
            break;
        }
    }
    Some(0.5 * (low + high))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_zero_to_the_last_digits() {
        let two = root(0.0, 2.0, |x| x * x - 2.0).unwrap();
        near!(two, std::f64::consts::SQRT_2, 1e-15);
        let flat = root(-1.0, 3.0, |x: f64| x.powi(9)).unwrap();
        assert!(flat.abs() < 1e-10);
    }

    #[test]
    fn refuses_equal_signs_and_nan() {
        assert_eq!(root(1.0, 2.0, |x| x), None);
        assert_eq!(root(0.0, 2.0, |_| f64::NAN), None);
    }
}
