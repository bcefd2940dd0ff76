/*! Numbers that carry their slope and curvature in two parameters, so that Newton's
method on a likelihood has exact derivatives (second-order forward differentiation:
A. Griewank and A. Walther, *Evaluating derivatives*, 2008, chapter 13). */

use std::ops::{Add, Mul, Neg, Sub};

/// A value with its gradient and Hessian in two parameters.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Jet {
    pub value: f64,
    /// First derivatives.
    pub slope: [f64; 2],
    /// Second derivatives: 11, 12, 22.
    pub curvature: [f64; 3],
}

/// What a likelihood is computed in: plain numbers, or numbers with their derivatives.
pub(crate) trait Real:
    Copy + Default + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Neg<Output = Self>
{
    /// A constant.
    fn constant(value: f64) -> Self;
    /// The plain value.
    fn value(self) -> f64;
    /// Multiple by a plain number.
    fn times(self, factor: f64) -> Self;
    /// A function of this number, given its value and first two derivatives there.
    fn chained(self, value: f64, first: f64, second: f64) -> Self;

    /// Reciprocal.
    fn reciprocal(self) -> Self {
        let inverse = 1.0 / self.value();
        let square = inverse * inverse;
        self.chained(inverse, -square, 2.0 * square * inverse)
    }
    /// Natural logarithm.
    fn ln(self) -> Self {
        let inverse = 1.0 / self.value();
        self.chained(self.value().ln(), inverse, -inverse * inverse)
    }
    /// Square.
    fn squared(self) -> Self {
        self.chained(self.value() * self.value(), 2.0 * self.value(), 2.0)
    }
}

impl Real for f64 {
    fn constant(value: f64) -> Self {
        value
    }
    fn value(self) -> f64 {
        self
    }
    fn times(self, factor: f64) -> Self {
        self * factor
    }
    fn chained(self, value: f64, _: f64, _: f64) -> Self {
        value
    }
}

impl Jet {
    /// Exponential of parameter `index` (0 or 1) at `log`.
    pub(crate) fn exponential(log: f64, index: usize) -> Self {
        let value = log.exp();
        let mut jet = Self::constant(value);
        jet.slope[index] = value;
        jet.curvature[2 * index] = value;
        jet
    }
}

impl Real for Jet {
    fn constant(value: f64) -> Self {
        Self {
            value,
            slope: [0.0; 2],
            curvature: [0.0; 3],
        }
    }
    fn value(self) -> f64 {
        self.value
    }

    fn times(self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            slope: self.slope.map(|x| x * factor),
            curvature: self.curvature.map(|x| x * factor),
        }
    }

    fn chained(self, value: f64, first: f64, second: f64) -> Self {
        let [a, b] = self.slope;
        let [aa, ab, bb] = self.curvature;
        Self {
            value,
            slope: [first * a, first * b],
            curvature: [
                first * aa + second * a * a,
                first * ab + second * a * b,
                first * bb + second * b * b,
            ],
        }
    }
}

impl Add for Jet {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            value: self.value + other.value,
            slope: [0, 1].map(|i| self.slope[i] + other.slope[i]),
            curvature: [0, 1, 2].map(|i| self.curvature[i] + other.curvature[i]),
        }
    }
}

impl Neg for Jet {
    type Output = Self;
    fn neg(self) -> Self {
        self.times(-1.0)
    }
}

impl Sub for Jet {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Mul for Jet {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let (x, y) = (self, other);
        Self {
            value: x.value * y.value,
            slope: [0, 1].map(|i| x.slope[i] * y.value + x.value * y.slope[i]),
            curvature: [
                x.curvature[0] * y.value + 2.0 * x.slope[0] * y.slope[0] + x.value * y.curvature[0],
                x.curvature[1] * y.value
                    + x.slope[0] * y.slope[1]
                    + x.slope[1] * y.slope[0]
                    + x.value * y.curvature[1],
                x.curvature[2] * y.value + 2.0 * x.slope[1] * y.slope[1] + x.value * y.curvature[2],
            ],
        }
    }
}

/// A value with its slope and curvature in one parameter: half the work where the other
/// parameter is held.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Slope {
    value: f64,
    first: f64,
    second: f64,
}

impl Slope {
    /// Exponential of the parameter at `log`.
    pub(crate) fn exponential(log: f64) -> Self {
        let value = log.exp();
        Self {
            value,
            first: value,
            second: value,
        }
    }

    /// The same as a jet whose parameter is `index`.
    pub(crate) fn along(self, index: usize) -> Jet {
        let mut jet = Jet::constant(self.value);
        jet.slope[index] = self.first;
        jet.curvature[2 * index] = self.second;
        jet
    }
}

impl Real for Slope {
    fn constant(value: f64) -> Self {
        Self {
            value,
            ..Self::default()
        }
    }
    fn value(self) -> f64 {
        self.value
    }
    fn times(self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            first: self.first * factor,
            second: self.second * factor,
        }
    }
    fn chained(self, value: f64, first: f64, second: f64) -> Self {
        Self {
            value,
            first: first * self.first,
            second: first * self.second + second * self.first * self.first,
        }
    }
}

impl Add for Slope {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            value: self.value + other.value,
            first: self.first + other.first,
            second: self.second + other.second,
        }
    }
}

impl Neg for Slope {
    type Output = Self;
    fn neg(self) -> Self {
        self.times(-1.0)
    }
}

impl Sub for Slope {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Mul for Slope {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self {
            value: self.value * other.value,
            first: self.first * other.value + self.value * other.first,
            second: self.second * other.value
                + 2.0 * self.first * other.first
                + self.value * other.second,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// With one parameter held, both kinds of number say the same.
    #[test]
    fn one_parameter_agrees_with_two() {
        fn f<R: Real>(x: R, held: R) -> R {
            ((x + held).ln() * (x.squared() - held).reciprocal()).times(0.7)
        }
        let (log, held) = (0.3, 0.4);
        let two = f(Jet::exponential(log, 1), Jet::constant(held));
        let one = f(Slope::exponential(log), Slope::constant(held)).along(1);
        near!(two.value, one.value, 1e-14);
        assert!((two.slope[1] - one.slope[1]).abs() < 1e-13 && one.slope[0] == 0.0);
        near!(two.curvature[2], one.curvature[2], 1e-12);
        assert_eq!([one.curvature[0], one.curvature[1]], [0.0; 2]);
    }

    #[test]
    fn derivatives_of_a_quotient_agree_with_the_closed_form() {
        // f = ln(eᵃ + 2eᵇ) / eᵃ at a = 0.3, b = −0.2, by central differences.
        let f = |a: f64, b: f64| (a.exp() + 2.0 * b.exp()).ln() / a.exp();
        let (a, b, h) = (0.3, -0.2, 1e-4);
        let (x, y) = (Jet::exponential(a, 0), Jet::exponential(b, 1));
        let jet = (x + y.times(2.0)).ln() * x.reciprocal();
        let near = |found: f64, expected: f64| assert!((found - expected).abs() < 1e-6);
        near(jet.value, f(a, b));
        near(jet.slope[0], (f(a + h, b) - f(a - h, b)) / (2.0 * h));
        near(jet.slope[1], (f(a, b + h) - f(a, b - h)) / (2.0 * h));
        near(
            jet.curvature[0],
            (f(a + h, b) - 2.0 * f(a, b) + f(a - h, b)) / (h * h),
        );
        near(
            jet.curvature[2],
            (f(a, b + h) - 2.0 * f(a, b) + f(a, b - h)) / (h * h),
        );
        let mixed = f(a + h, b + h) - f(a + h, b - h) - f(a - h, b + h) + f(a - h, b - h);
        near(jet.curvature[1], mixed / (4.0 * h * h));
        near(x.squared().curvature[0], 4.0 * (2.0 * a).exp());
    }
}
