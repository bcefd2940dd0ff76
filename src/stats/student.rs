/*! Student's t with any degrees of freedom, the normal distribution as its limit. */

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

/// Beyond this many degrees of freedom t and normal agree to all digits a reader sees.
const NORMAL_FROM: f64 = 1e9;

/// Cumulative probability of Student's t; normal where `degrees_of_freedom` is infinite.
/// NaN where the degrees of freedom are not positive.
pub fn cumulative(t: f64, degrees_of_freedom: f64) -> f64 {
    if t.is_infinite() {
        return f64::from(t > 0.0);
    }
    if degrees_of_freedom > NORMAL_FROM {
        return Normal::standard().cdf(t);
    }
    StudentsT::new(0.0, 1.0, degrees_of_freedom).map_or(f64::NAN, |d| d.cdf(t))
}

/// Quantile of Student's t for `probability` in (0, 1); normal where the degrees of
/// freedom are infinite. NaN where they are not positive.
pub fn quantile(probability: f64, degrees_of_freedom: f64) -> f64 {
    if !(0.0..=1.0).contains(&probability) {
        return f64::NAN;
    }
    if degrees_of_freedom > NORMAL_FROM {
        return Normal::standard().inverse_cdf(probability);
    }
    StudentsT::new(0.0, 1.0, degrees_of_freedom).map_or(f64::NAN, |d| d.inverse_cdf(probability))
}
