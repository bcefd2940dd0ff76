/*! Factors of control charts for runs of n readings, by computation.

d₂ and d₃ are the mean and the standard deviation of the range of n standard normal values:
E[W] = ∫ 1 − Φⁿ − (1 − Φ)ⁿ, E[W²] from the range's distribution P(W ≤ w) = n ∫ φ(x)·
(Φ(x + w) − Φ(x))ⁿ⁻¹ dx (H. O. Hartley, Biometrika 32, 1942, from memory). c₄ = √(2/(n − 1))·
Γ(n/2)/Γ((n − 1)/2) makes the mean standard deviation unbiased. The tables of ISO 7870-2 round them.
*/

use crate::stats::{integral, normal_above, normal_between, normal_density};
use statrs::function::gamma::ln_gamma;

/// Beyond this many deviations the normal distribution has nothing left.
const FAR: f64 = 9.0;
/// Error allowed in an integral: well under half of the sixth decimal.
const TOLERANCE: f64 = 1e-10;

/// Mean and standard deviation of the range of `n` standard normal values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RangeConstants {
    /// Mean range, d₂.
    pub d2: f64,
    /// Its standard deviation, d₃.
    pub d3: f64,
}

impl RangeConstants {
    /// Factor A₂ of the mean range for limits of means of `n`: 3/(d₂√n).
    pub fn a2(&self, n: usize) -> f64 {
        3.0 / (self.d2 * (n as f64).sqrt())
    }

    /// Factors D₃ and D₄ of the mean range for limits of a range: 1 ∓ 3d₃/d₂.
    pub fn range_limits(&self) -> (f64, f64) {
        let width = 3.0 * self.d3 / self.d2;
        ((1.0 - width).max(0.0), 1.0 + width)
    }
}

/// d₂ and d₃ for runs of `n` readings; `None` below two.
pub fn range_constants(n: usize) -> Option<RangeConstants> {
    let power = i32::try_from(n).ok().filter(|n| *n >= 2)?;
    let outside = |x: f64| {
        let above = normal_above(x);
        1.0 - (1.0 - above).powi(power) - above.powi(power)
    };
    let d2 = integral(-FAR, FAR, TOLERANCE, &outside);
    let beyond = |w: f64| {
        let within = |x: f64| normal_density(x) * normal_between(x, x + w).powi(power - 1);
        1.0 - f64::from(power) * integral(-FAR, FAR, TOLERANCE, &within)
    };
    let square = integral(0.0, 2.0 * FAR, TOLERANCE, &|w| 2.0 * w * beyond(w));
    Some(RangeConstants {
        d2,
        d3: (square - d2 * d2).sqrt(),
    })
}

/// Mean standard deviation of `n` standard normal values, c₄.
pub fn c4(n: usize) -> f64 {
    let n = n as f64;
    (2.0 / (n - 1.0)).sqrt() * (ln_gamma(0.5 * n) - ln_gamma(0.5 * (n - 1.0))).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    const CONSTANTS: [(usize, f64, f64, f64); 8] = [
        (2, std::f64::consts::FRAC_2_SQRT_PI, 0.852502, 0.797885),
        (3, 1.692569, 0.888368, 0.886227),
        (4, 2.058751, 0.879808, 0.921318),
        (5, 2.325929, 0.864082, 0.939986),
        (7, 2.704357, 0.833205, 0.959369),
        (10, 3.077505, 0.797051, 0.972659),
        (15, 3.471827, 0.756211, 0.982316),
        (25, 3.930629, 0.708441, 0.989640),
    ];

    /// Six decimals by independent integration (scipy 1.17.1, quad and dblquad); three decimals
    /// agree with the tables of ISO 7870-2 (from memory).
    #[test]
    fn constants_to_six_digits() {
        for (n, d2, d3, c) in CONSTANTS {
            let found = range_constants(n).unwrap();
            assert!((found.d2 - d2).abs() < 5e-7, "d2({n}) = {}", found.d2);
            assert!((found.d3 - d3).abs() < 5e-7, "d3({n}) = {}", found.d3);
            assert!((c4(n) - c).abs() < 5e-7, "c4({n}) = {}", c4(n));
        }
        assert_eq!(range_constants(1), None);
    }

    /// A₂ 0.577, D₄ 2.114 for runs of five; D₃ 0.076 for seven (tables, from memory).
    #[test]
    fn factors_of_the_tables() {
        let five = range_constants(5).unwrap();
        assert!(
            (five.a2(5) - 0.577).abs() < 0.0005 && (five.range_limits().1 - 2.114).abs() < 0.0006
        );
        assert_eq!(five.range_limits().0, 0.0);
        let seven = range_constants(7).unwrap();
        assert!((seven.range_limits().0 - 0.076).abs() < 0.0005);
    }
}
