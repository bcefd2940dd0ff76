/*! Student's t with any degrees of freedom, the normal distribution as its limit.

A fleet asks for these a million times, so whole degrees of freedom up to 64 use the
finite sums of Abramowitz and Stegun (26.7.3, 26.7.4), large ones the expansion 26.7.5;
other cumulative probabilities go to statrs. Quantiles take a few Halley steps on them, and a
bounded search only in the far tails.
*/

use super::root::root;
use statrs::distribution::{ContinuousCDF, Normal, StudentsT};
use statrs::function::erf::erfc;
use statrs::function::gamma::ln_gamma;
use std::f64::consts::{FRAC_1_SQRT_2, FRAC_2_PI, PI};

/// Beyond this many degrees of freedom t and normal agree to all digits a reader sees.
const NORMAL_FROM: f64 = 1e9;

/// From this many on the expansion about the normal quantile has all digits.
const EXPANSION_FROM: f64 = 1e4;

/// Whole degrees of freedom up to this many use the finite sums: 32 terms at most.
const SUM_UP_TO: f64 = 64.0;

/// Below this cumulative probability the finite sum loses digits to cancellation.
const TAIL: f64 = 1e-3;

/// Cumulative probability of Student's t; normal where `degrees_of_freedom` is infinite.
/// NaN where `t` is, or where the degrees of freedom are not positive.
pub(crate) fn cumulative(t: f64, degrees_of_freedom: f64) -> f64 {
    if t.is_nan() {
        return f64::NAN;
    }
    if t.is_infinite() {
        return f64::from(t > 0.0);
    }
    if degrees_of_freedom > NORMAL_FROM {
        return 0.5 * erfc(-t * FRAC_1_SQRT_2);
    }
    if has_finite_sum(degrees_of_freedom) {
        let upper = 0.5 + 0.5 * central(t, degrees_of_freedom as u32);
        if (TAIL..=1.0).contains(&upper) {
            return upper;
        }
    }
    StudentsT::new(0.0, 1.0, degrees_of_freedom).map_or(f64::NAN, |d| d.cdf(t))
}

/// Quantile of Student's t for `probability` in (0, 1); normal where the degrees of
/// freedom are infinite. NaN where they are not positive.
pub(crate) fn quantile(probability: f64, degrees_of_freedom: f64) -> f64 {
    if !(0.0..=1.0).contains(&probability) {
        return f64::NAN;
    }
    if degrees_of_freedom > NORMAL_FROM {
        return Normal::standard().inverse_cdf(probability);
    }
    if degrees_of_freedom > EXPANSION_FROM {
        return expansion(
            Normal::standard().inverse_cdf(probability),
            degrees_of_freedom,
        );
    }
    if degrees_of_freedom.is_nan() || degrees_of_freedom <= 0.0 {
        return f64::NAN;
    }
    let inside = (TAIL..=1.0 - TAIL).contains(&probability);
    let polished = match degrees_of_freedom {
        nu if !inside || nu < 1.0 => None,
        nu if has_finite_sum(nu) => polished(probability, nu, |t| central(t, nu as u32)),
        nu => polished(probability, nu, |t| 2.0 * cumulative(t, nu) - 1.0),
    };
    polished.unwrap_or_else(|| searched(probability, degrees_of_freedom))
}

/// Quantile from that of the normal distribution, four terms
/// (Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.5).
fn expansion(z: f64, nu: f64) -> f64 {
    let s = z * z;
    let terms = [
        z * (s + 1.0) / 4.0,
        z * ((5.0 * s + 16.0) * s + 3.0) / 96.0,
        z * (((3.0 * s + 19.0) * s + 17.0) * s - 15.0) / 384.0,
        z * ((((79.0 * s + 776.0) * s + 1482.0) * s - 1920.0) * s - 945.0) / 92_160.0,
    ];
    z + terms.iter().rev().fold(0.0, |sum, term| (sum + term) / nu)
}

/// Quantile by a bounded search on the cumulative probability: the inverse of statrs can
/// run for ever (its Newton steps have no end for some degrees of freedom).
fn searched(probability: f64, nu: f64) -> f64 {
    let tail = probability.min(1.0 - probability);
    if tail <= 0.0 || probability == 0.5 {
        return if tail <= 0.0 {
            (probability - 0.5) * f64::INFINITY
        } else {
            0.0
        };
    }
    let beyond = |t: f64| cumulative(-t, nu) - tail;
    let mut high = 1.0;
    while beyond(high) > 0.0 && high < f64::MAX / 2.0 {
        high *= 2.0;
    }
    let low = if high > 1.0 { 0.5 * high } else { 0.0 };
    let t = root(low, high, beyond).unwrap_or(f64::NAN);
    if probability < 0.5 { -t } else { t }
}

fn has_finite_sum(degrees_of_freedom: f64) -> bool {
    (1.0..=SUM_UP_TO).contains(&degrees_of_freedom) && degrees_of_freedom.fract() == 0.0
}

/// Signed probability between −t and t: finite sums in θ = atan(t/√ν)
/// (Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4).
fn central(t: f64, freedom: u32) -> f64 {
    let nu = f64::from(freedom);
    let hypotenuse = nu + t * t;
    let (cosine_squared, sine) = (nu / hypotenuse, t / hypotenuse.sqrt());
    let odd = freedom % 2 == 1;
    // Horner from the innermost factor outwards: 1 + a₁c²(1 + a₂c²(1 + …)).
    let mut sum = 1.0;
    let mut k = freedom as f64 - 3.0;
    while k > 0.0 {
        sum = 1.0 + sum * cosine_squared * k / (k + 1.0);
        k -= 2.0;
    }
    match (odd, freedom) {
        (true, 1) => FRAC_2_PI * (t / nu.sqrt()).atan(),
        (true, _) => FRAC_2_PI * ((t / nu.sqrt()).atan() + sine * cosine_squared.sqrt() * sum),
        _ => sine * sum,
    }
}

/// Quantile outside the far tails: closed forms for one and two degrees of freedom, else a
/// Cornish–Fisher start (Abramowitz and Stegun 26.7.5) and Halley steps on `central`, the
/// probability between −t and t. `None` where they do not settle.
fn polished(probability: f64, nu: f64, central: impl Fn(f64) -> f64) -> Option<f64> {
    const MOST_STEPS: usize = 20;
    let twice = 2.0 * probability - 1.0;
    if nu == 1.0 {
        return Some((PI * (probability - 0.5)).tan());
    }
    if nu == 2.0 {
        return Some(twice * (2.0 / (1.0 - twice * twice)).sqrt());
    }
    let z = Normal::standard().inverse_cdf(probability);
    let square = z * z;
    let mut t = z
        + z * (square + 1.0) / (4.0 * nu)
        + z * ((5.0 * square + 16.0) * square + 3.0) / (96.0 * nu * nu);
    let log_height = ln_gamma(0.5 * (nu + 1.0)) - ln_gamma(0.5 * nu) - 0.5 * (nu * PI).ln();
    for _ in 0..MOST_STEPS {
        let density = (log_height - 0.5 * (nu + 1.0) * (t * t / nu).ln_1p()).exp();
        let newton = 0.5 * (central(t) - twice) / density;
        let curvature = -t * (nu + 1.0) / (nu + t * t);
        let step = newton / (1.0 - 0.5 * newton * curvature);
        t -= step;
        // Halley triples the digits: a step below 1e-6 leaves an error below 1e-16.
        if step.abs() <= 1e-6 * t.abs() {
            return Some(t);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn by_statrs(t: f64, nu: f64) -> f64 {
        StudentsT::new(0.0, 1.0, nu).unwrap().cdf(t)
    }

    /// Zero over zero, as of readings that never differ.
    #[test]
    fn what_is_no_number_has_no_probability() {
        for degrees_of_freedom in [0.5, 1.0, 3.0, 12.5, 1e9] {
            assert!(cumulative(f64::NAN, degrees_of_freedom).is_nan());
        }
        assert!(cumulative(1.0, -1.0).is_nan());
    }

    #[test]
    fn sums_agree_with_statrs() {
        for nu in 1..=70 {
            for step in -60..=60 {
                let (t, nu) = (f64::from(step) * 0.23, f64::from(nu));
                assert!(
                    // statrs stops its continued fraction at about this.
                    (cumulative(t, nu) - by_statrs(t, nu)).abs() < 1e-12,
                    "{t} {nu}: {:e} {:e}",
                    cumulative(t, nu),
                    by_statrs(t, nu)
                );
            }
        }
    }

    /// Evaluated in 40 decimal digits from the same sum.
    #[test]
    fn sum_is_right_to_the_last_digits() {
        let exact = 0.061_534_427_122_499_67;
        near!(cumulative(-7.0 * 0.23, 20.0), exact, 4e-16);
    }

    #[test]
    fn quantile_inverts_cumulative() {
        for nu in [
            1.0, 2.0, 3.0, 4.0, 5.0, 10.0, 33.0, 64.0, 0.4, 1.01, 1.3, 2.5, 7.7, 70.0, 81.3, 900.5,
        ] {
            for p in [1e-5, 0.002, 0.025, 0.3, 0.5, 0.9, 0.975, 0.995, 0.9999] {
                let t = quantile(p, nu);
                near!(cumulative(t, nu), p, 1e-12);
            }
        }
    }

    /// e-Handbook 1.3.6.7.2, critical values of Student's t; normal from the same table.
    #[test]
    fn handbook_table() {
        for (nu, t) in [
            (1.0, 12.706),
            (2.0, 4.303),
            (3.0, 3.182),
            (10.0, 2.228),
            (60.0, 2.000),
        ] {
            near!(quantile(0.975, nu), t, 5e-4);
        }
        near!(quantile(0.975, f64::INFINITY), 1.959_963_984_540_054, 1e-14);
    }

    /// The inverse of statrs never returned for some of these (about 1.2e6, level 0.9545).
    #[test]
    fn every_quantile_returns() {
        for exponent in -2..=90 {
            let nu = 10f64.powf(f64::from(exponent) / 10.0) * 1.003;
            for p in [1e-9, 1e-4, 0.01, 0.3, 0.5, 0.8, 0.975, 0.977_25, 0.999_999] {
                let t = quantile(p, nu);
                assert!(t.is_finite(), "{p} {nu}");
                assert!(
                    (quantile(1.0 - p, nu) + t).abs() <= 1e-6 * t.abs().max(1.0),
                    "{p} {nu}"
                );
                if nu < EXPANSION_FROM {
                    near!(cumulative(t, nu), p, 1e-11);
                }
            }
        }
    }

    /// No digit changes where the search gives way to the expansion.
    #[test]
    fn methods_meet() {
        for p in [0.6, 0.9, 0.975, 0.999_9] {
            let (below, above) = (
                quantile(p, EXPANSION_FROM),
                quantile(p, EXPANSION_FROM * 1.000_001),
            );
            near!(below, above, 1e-8, "{p} {below} {above}");
        }
    }

    #[test]
    fn impossible_degrees_give_nan() {
        assert!(cumulative(1.0, 0.0).is_nan());
        assert!(quantile(0.5, -1.0).is_nan());
        assert!(quantile(1.5, 3.0).is_nan());
    }
}
