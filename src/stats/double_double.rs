/*! Double-double arithmetic: an unevaluated sum of two doubles, about 31 decimal digits.

Sources: T. J. Dekker, "A floating-point technique for extending the available
precision", Numer. Math. 18 (1971) 224–242; M. Joldes, J.-M. Muller, V. Popescu,
"Tight and rigorous error bounds for basic building blocks of double-word
arithmetic", ACM TOMS 44 (2017) 15. The crate `twofloat` 0.8.4 was tried first and
gave 1.000 000 000 000 000 4 for the intercept of an exact line.
*/

use std::ops::{Add, AddAssign, Div, DivAssign, Mul, Neg, Sub, SubAssign};

/// `high + low`, with `low` at most half a unit in the last place of `high`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DoubleDouble {
    high: f64,
    low: f64,
}

/// Sum and its exact rounding error (Knuth).
fn two_sum(a: f64, b: f64) -> DoubleDouble {
    let high = a + b;
    let part = high - a;
    DoubleDouble {
        high,
        low: (a - (high - part)) + (b - part),
    }
}

/// The same where |a| ≥ |b| (Dekker).
fn quick_two_sum(a: f64, b: f64) -> DoubleDouble {
    let high = a + b;
    DoubleDouble {
        high,
        low: b - (high - a),
    }
}

/// Product and its exact rounding error, by fused multiply-add.
fn two_product(a: f64, b: f64) -> DoubleDouble {
    let high = a * b;
    DoubleDouble {
        high,
        low: a.mul_add(b, -high),
    }
}

impl DoubleDouble {
    pub(crate) const ZERO: Self = Self {
        high: 0.0,
        low: 0.0,
    };
    /// One.
    pub(crate) const ONE: Self = Self {
        high: 1.0,
        low: 0.0,
    };

    /// Exact difference of two doubles.
    pub(crate) fn difference(a: f64, b: f64) -> Self {
        two_sum(a, -b)
    }

    pub(crate) fn nearest(self) -> f64 {
        self.high
    }

    /// Square root; zero for zero, NaN for negative values.
    pub(crate) fn sqrt(self) -> Self {
        if self.high == 0.0 {
            return Self::ZERO;
        }
        // One Newton step on the double's root doubles its digits.
        let root = self.high.sqrt();
        let rest = self - two_product(root, root);
        quick_two_sum(root, rest.high / (2.0 * root))
    }

    /// Whole power.
    pub(crate) fn power(self, exponent: u32) -> Self {
        (0..exponent).fold(Self::ONE, |product, _| product * self)
    }
}

impl From<f64> for DoubleDouble {
    fn from(high: f64) -> Self {
        Self { high, low: 0.0 }
    }
}

impl Neg for DoubleDouble {
    type Output = Self;
    fn neg(self) -> Self {
        Self {
            high: -self.high,
            low: -self.low,
        }
    }
}

impl Add for DoubleDouble {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        let (high, low) = (two_sum(self.high, other.high), two_sum(self.low, other.low));
        let first = quick_two_sum(high.high, high.low + low.high);
        quick_two_sum(first.high, first.low + low.low)
    }
}

impl Sub for DoubleDouble {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Mul for DoubleDouble {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let product = two_product(self.high, other.high);
        let cross = self.high.mul_add(other.low, self.low * other.high);
        quick_two_sum(product.high, product.low + cross)
    }
}

impl Mul<f64> for DoubleDouble {
    type Output = Self;
    fn mul(self, other: f64) -> Self {
        self * Self::from(other)
    }
}

impl Div for DoubleDouble {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        // Long division, three digits of 53 bits each.
        let first = self.high / other.high;
        let rest = self - other * first;
        let second = rest.high / other.high;
        let rest = rest - other * second;
        let third = rest.high / other.high;
        quick_two_sum(first, second) + Self::from(third)
    }
}

impl Div<f64> for DoubleDouble {
    type Output = Self;
    fn div(self, other: f64) -> Self {
        self / Self::from(other)
    }
}

impl AddAssign for DoubleDouble {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl SubAssign for DoubleDouble {
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}

impl DivAssign for DoubleDouble {
    fn div_assign(&mut self, other: Self) {
        *self = *self / other;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: DoubleDouble, b: DoubleDouble) -> bool {
        (a - b).nearest().abs() <= 1e-30 * b.nearest().abs()
    }

    #[test]
    fn thirds_add_up() {
        let third = DoubleDouble::ONE / 3.0;
        assert!(close(third + third + third, DoubleDouble::ONE));
        assert!(close(third * 3.0, DoubleDouble::ONE));
    }

    /// √2 = 1.41421356237309504880168872420969807856967… ; high and low part.
    #[test]
    fn root_of_two() {
        let root = DoubleDouble::from(2.0).sqrt();
        assert_eq!(root.high, std::f64::consts::SQRT_2);
        assert!((root.low + 9.667_293_313_452_913e-17).abs() < 1e-31);
        assert!(close(root * root, DoubleDouble::from(2.0)));
        assert!(DoubleDouble::from(-1.0).sqrt().nearest().is_nan());
    }

    #[test]
    fn small_parts_survive() {
        let sum = DoubleDouble::from(1e20) + DoubleDouble::ONE - DoubleDouble::from(1e20);
        assert_eq!(sum.nearest(), 1.0);
        assert!(close(
            DoubleDouble::from(0.1).power(5),
            DoubleDouble::from(0.1) * DoubleDouble::from(0.1).power(4)
        ));
    }
}
