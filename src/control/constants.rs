/*! Factors of control charts for runs of n readings, by computation.

d₂ and d₃ are the mean and the standard deviation of the range of n standard normal values:
`E[W]` = ∫ 1 − Φⁿ − (1 − Φ)ⁿ, `E[W²]` from the range's distribution P(W ≤ w) = n ∫ φ(x)·
(Φ(x + w) − Φ(x))ⁿ⁻¹ dx (H. O. Hartley, Biometrika 32, 1942, from memory). Standard deviations are pooled by their squares, which need
no factor. The tables of ISO 7870-2 round them.
*/

use crate::stats::{integral, normal_above, normal_between, normal_density};

/// Beyond this many deviations the normal distribution has nothing left.
const FAR: f64 = 9.0;
/// Error allowed in an integral: well under half of the sixth decimal.
const TOLERANCE: f64 = 1e-10;

/// Mean and standard deviation of the range of `n` standard normal values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct RangeConstants {
    /// Mean range, d₂.
    pub d2: f64,
    /// Its standard deviation, d₃.
    pub d3: f64,
}

/// d₂ and d₃ for runs of `n` readings; `None` below two.
pub(crate) fn range_constants(n: usize) -> Option<RangeConstants> {
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

#[cfg(test)]
mod tests {
    use super::*;

    const CONSTANTS: [(usize, f64, f64); 8] = [
        (2, std::f64::consts::FRAC_2_SQRT_PI, 0.852502),
        (3, 1.692569, 0.888368),
        (4, 2.058751, 0.879808),
        (5, 2.325929, 0.864082),
        (7, 2.704357, 0.833205),
        (10, 3.077505, 0.797051),
        (15, 3.471827, 0.756211),
        (25, 3.930629, 0.708441),
    ];

    /// Six decimals by independent integration (scipy 1.17.1, quad and dblquad); three decimals
    /// agree with the tables of ISO 7870-2 (from memory).
    #[test]
    fn constants_to_six_digits() {
        for (n, d2, d3) in CONSTANTS {
            let found = range_constants(n).unwrap();
            near!(found.d2, d2, 5e-7, "d2({n}) = {}", found.d2);
            near!(found.d3, d3, 5e-7, "d3({n}) = {}", found.d3);
        }
        assert_eq!(range_constants(1), None);
    }
}
