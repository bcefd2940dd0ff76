/*! Numbers as text, fast: a simulated table has millions of them. */

/// Powers of ten for the decimals that settings allow.
const POWERS: [f64; 10] = [1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9];
/// Above this a double holds no fraction, and the slow way is taken.
const LARGEST_WHOLE: f64 = 9.0e15;

/// Appends `value` with at most nine fixed decimals; no minus sign on a zero.
pub(super) fn push_decimal(out: &mut Vec<u8>, value: f64, decimals: usize) {
    let decimals = decimals.min(POWERS.len() - 1);
    let scaled = (value.abs() * POWERS[decimals]).round();
    if scaled.is_nan() || scaled >= LARGEST_WHOLE {
        out.extend_from_slice(format!("{value:.decimals$}").as_bytes());
        return;
    }
    let mut whole = scaled as u64;
    if value < 0.0 && whole > 0 {
        out.push(b'-');
    }
    let mut digits = [b'0'; 24];
    let mut at = digits.len();
    let mut written = 0;
    while whole > 0 || written <= decimals {
        if written == decimals && decimals > 0 {
            at -= 1;
            digits[at] = b'.';
        }
        at -= 1;
        digits[at] = b'0' + (whole % 10) as u8;
        whole /= 10;
        written += 1;
    }
    out.extend_from_slice(&digits[at..]);
}

/// Appends a whole number with leading zeros up to `width` digits.
pub(super) fn push_padded(out: &mut Vec<u8>, value: u64, width: usize) {
    let start = out.len();
    let mut rest = value;
    while rest > 0 || out.len() - start < width {
        out.push(b'0' + (rest % 10) as u8);
        rest /= 10;
    }
    out[start..].reverse();
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::property_cases::usual;
    use proptest::prelude::*;

    fn decimal(value: f64, decimals: usize) -> String {
        let mut out = Vec::new();
        push_decimal(&mut out, value, decimals);
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn zeros_and_small_numbers() {
        assert_eq!(decimal(-0.0001, 2), "0.00");
        assert_eq!(decimal(-0.05, 2), "-0.05");
        assert_eq!(decimal(7.0, 0), "7");
        assert_eq!(decimal(0.0, 0), "0");
        assert_eq!(decimal(f64::NAN, 2), "NaN");
        assert_eq!(decimal(1e20, 1), "100000000000000000000.0");
    }

    proptest! {
        #![proptest_config(usual())]

        #[test]
        fn decimals_read_back_within_half_of_the_last_place(value in -1e5f64..1e5, decimals in 0usize..7) {
            let text = decimal(value, decimals);
            let back: f64 = text.parse().unwrap();
            prop_assert!((back - value).abs() <= 0.500_000_1 * 10f64.powi(-(decimals as i32)));
            prop_assert_eq!(text.split('.').nth(1).map_or(0, str::len), decimals);
        }
    }
}
