/*! Upper tails and quantiles of the test distributions, accurate where they are small. */

use statrs::function::beta::checked_beta_reg;
use statrs::function::erf::erfc;
use statrs::function::gamma::checked_gamma_ur;

/// Probability that |T| exceeds |t| for Student's t; normal where the degrees of freedom
/// are infinite. NaN where they are not positive.
pub(crate) fn student_two_sided(t: f64, degrees_of_freedom: f64) -> f64 {
    if degrees_of_freedom.is_infinite() {
        return normal_upper_two_sided(t);
    }
    if t.is_infinite() {
        return 0.0;
    }
    let share = degrees_of_freedom / (degrees_of_freedom + t * t);
    checked_beta_reg(0.5 * degrees_of_freedom, 0.5, share).unwrap_or(f64::NAN)
}

/// Probability that |Z| exceeds |z| for the standard normal.
pub(crate) fn normal_upper_two_sided(z: f64) -> f64 {
    erfc(z.abs() * std::f64::consts::FRAC_1_SQRT_2)
}

/// Probability that χ² with `degrees_of_freedom` exceeds `q`. NaN where impossible.
pub(crate) fn chi_squared_upper(q: f64, degrees_of_freedom: f64) -> f64 {
    if q <= 0.0 {
        return 1.0;
    }
    if q.is_infinite() {
        return 0.0;
    }
    checked_gamma_ur(0.5 * degrees_of_freedom, 0.5 * q).unwrap_or(f64::NAN)
}

/// Probability that F with (`upper`, `lower`) degrees of freedom exceeds `f`.
/// NaN where impossible.
pub(crate) fn fisher_upper(f: f64, upper: f64, lower: f64) -> f64 {
    if f <= 0.0 {
        return 1.0;
    }
    if f.is_infinite() {
        return 0.0;
    }
    if lower.is_infinite() {
        return chi_squared_upper(f * upper, upper);
    }
    checked_beta_reg(0.5 * lower, 0.5 * upper, lower / (lower + upper * f)).unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// e-Handbook 1.3.6.7: upper critical values at 5 %: t(10) 2.228 two-sided,
    /// χ²(10) 18.307, F(2, 10) 4.103.
    #[test]
    fn handbook_critical_values() {
        near!(student_two_sided(2.228, 10.0), 0.05, 5e-5);
        near!(chi_squared_upper(18.307, 10.0), 0.05, 5e-6);
        near!(fisher_upper(4.103, 2.0, 10.0), 0.05, 5e-5);
    }

    #[test]
    fn limits_are_numbers() {
        assert_eq!(student_two_sided(f64::INFINITY, 3.0), 0.0);
        assert_eq!(chi_squared_upper(f64::INFINITY, 3.0), 0.0);
        assert_eq!(fisher_upper(f64::INFINITY, 1.0, 3.0), 0.0);
        assert_eq!(chi_squared_upper(0.0, 3.0), 1.0);
    }
}
