/*! Logarithm of the upper gamma tail Q(a, x) with its slopes in shape and argument.

Series below a + 1, continued fraction above, each differentiated term by term
(no closed form exists for the slope in the shape). Source of both: M. Abramowitz
and I. Stegun, Handbook of Mathematical Functions (1964), 6.5.29 and 6.5.31.
*/

use libm::lgamma;
use statrs::function::gamma::digamma;

/// Terms that suffice for every shape below ten thousand.
const MOST_TERMS: usize = 20_000;

/// (ln Q(a, x), ∂/∂a, ∂/∂x) for a > 0, x ≥ 0; (0, 0, 0) at x = 0.
pub(crate) fn ln_gamma_above(a: f64, x: f64) -> (f64, f64, f64) {
    if x <= 0.0 {
        return (0.0, 0.0, 0.0);
    }
    // ln of x^a e^{−x} / Γ(a) and its slope in a.
    let front = a * x.ln() - x - lgamma(a);
    let front_slope = x.ln() - digamma(a);
    let (value, slope) = if x < a + 1.0 {
        below(a, x, front, front_slope)
    } else {
        let (fraction, fraction_slope) = fraction(a, x);
        (front + fraction, front_slope + fraction_slope)
    };
    (value, slope, -(front - x.ln() - value).exp())
}

/// ln Q = ln(1 − P) from the series of P, with its slope in a.
fn below(a: f64, x: f64, front: f64, front_slope: f64) -> (f64, f64) {
    let (mut term, mut log_slope) = (1.0 / a, -1.0 / a);
    let (mut sum, mut sum_slope) = (term, term * log_slope);
    for n in 1..MOST_TERMS {
        let shifted = a + n as f64;
        term *= x / shifted;
        log_slope -= 1.0 / shifted;
        sum += term;
        sum_slope += term * log_slope;
        if term * (1.0 - log_slope) < sum * f64::EPSILON {
            break;
        }
    }
    let p = front.exp() * sum;
    let p_slope = p * front_slope + front.exp() * sum_slope;
    ((-p).ln_1p(), -p_slope / (1.0 - p))
}

/// Logarithm of the continued fraction of Q (Lentz's method) and its slope in a.
fn fraction(a: f64, x: f64) -> (f64, f64) {
    let (mut b, db) = (x + 1.0 - a, -1.0);
    let (mut c, mut dc) = (1.0 / f64::MIN_POSITIVE, 0.0);
    let (mut d, mut dd) = (1.0 / b, -db / (b * b));
    let (mut h, mut dh) = (d, dd);
    for n in 1..MOST_TERMS {
        let k = n as f64;
        let (an, dan) = (-k * (k - a), k);
        b += 2.0;
        let (e, de) = (an * d + b, dan * d + an * dd + db);
        (d, dd) = (1.0 / e, -de / (e * e));
        (c, dc) = (b + an / c, db + dan / c - an * dc / (c * c));
        let (step, dstep) = (c * d, dc * d + c * dd);
        (h, dh) = (h * step, dh * step + h * dstep);
        if (step - 1.0).abs() < f64::EPSILON && dstep.abs() < 1e-15 {
            break;
        }
    }
    (h.ln(), dh / h)
}

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::function::gamma::gamma_ur;

    #[test]
    fn agrees_with_the_library_and_its_differences() {
        for (a, x) in [
            (2.5, 0.857),
            (2.5, 3.4),
            (0.4, 0.1),
            (0.4, 9.0),
            (7.0, 30.0),
            (4.0, 5.1),
        ] {
            let (value, slope_a, slope_x) = ln_gamma_above(a, x);
            near!(value, gamma_ur(a, x).ln(), 1e-12 * (1.0 + value.abs()));
            let h = 1e-5;
            let by_a = (gamma_ur(a + h, x).ln() - gamma_ur(a - h, x).ln()) / (2.0 * h);
            let by_x = (gamma_ur(a, x + h).ln() - gamma_ur(a, x - h).ln()) / (2.0 * h);
            near!(
                slope_a,
                by_a,
                1e-8 * (1.0 + by_a.abs()),
                "{a} {x} {slope_a} {by_a}"
            );
            near!(slope_x, by_x, 1e-8 * (1.0 + by_x.abs()), "{a} {x}");
        }
    }
}
