/*! Decimals as integers with a scale: exact where binary fractions are not. */

/// Powers of ten that a double holds exactly.
pub(super) const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// Largest integer up to which every integer is a double: 2^53.
pub(super) const EXACT_INTEGERS: i128 = 1 << 53;

/// Digits that surely fit into the mantissa.
const MOST_DIGITS: usize = 18;

/// mantissa × 10^−scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Decimal {
    pub mantissa: i64,
    pub scale: u32,
}

impl Decimal {
    /// Correctly rounded: one division of two exact doubles (see [`plain`] for the bounds).
    pub(super) fn nearest(self) -> f64 {
        self.mantissa as f64 / POWERS[self.scale as usize]
    }

    pub(super) fn scaled(self, power: i32) -> Option<Decimal> {
        let scale = i64::from(self.scale) - i64::from(power);
        if scale >= 0 {
            let scale = u32::try_from(scale).ok()?;
            let known = (scale as usize) < POWERS.len();
            return known.then_some(Decimal { scale, ..self });
        }
        let lift = 10i64.checked_pow(u32::try_from(-scale).ok()?)?;
        let mantissa = self.mantissa.checked_mul(lift)?;
        (i128::from(mantissa).abs() <= EXACT_INTEGERS).then_some(Decimal { mantissa, scale: 0 })
    }

    /// The mantissa at a `scale` that is no smaller.
    pub(super) fn lifted(self, scale: u32) -> Option<i128> {
        i128::from(self.mantissa).checked_mul(10i128.pow(scale - self.scale))
    }

    /// The product; `None` where it has too many digits.
    pub(super) fn times(self, other: Decimal) -> Option<Decimal> {
        let mut product = i128::from(self.mantissa) * i128::from(other.mantissa);
        let mut scale = self.scale + other.scale;
        while scale > 0 && product % 10 == 0 {
            (product, scale) = (product / 10, scale - 1);
        }
        let known = (scale as usize) < POWERS.len() && product.abs() <= EXACT_INTEGERS;
        let mantissa = i64::try_from(product).ok().filter(|_| known)?;
        Some(Decimal { mantissa, scale })
    }

    pub(super) fn minus(self, other: Decimal) -> Option<f64> {
        let scale = self.scale.max(other.scale);
        let difference = self.lifted(scale)? - other.lifted(scale)?;
        (difference.abs() <= EXACT_INTEGERS).then(|| difference as f64 / POWERS[scale as usize])
    }
}

/// Sign, digits and one decimal mark, few enough for an exact double quotient.
pub(super) fn plain(text: &[u8], mark: u8) -> Option<Decimal> {
    let (negative, digits) = match text {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        _ => (false, text),
    };
    if digits.len() > MOST_DIGITS {
        return None;
    }
    let (mut mantissa, mut scale, mut seen_mark, mut count) = (0i64, 0u32, false, 0);
    for &byte in digits {
        match byte {
            b'0'..=b'9' => {
                mantissa = mantissa * 10 + i64::from(byte - b'0');
                scale += u32::from(seen_mark);
                count += 1;
            }
            _ if byte == mark && !seen_mark => seen_mark = true,
            _ => return None,
        }
    }
    let usable = count > 0 && i128::from(mantissa) <= EXACT_INTEGERS;
    usable.then_some(Decimal {
        mantissa: if negative { -mantissa } else { mantissa },
        scale,
    })
}
