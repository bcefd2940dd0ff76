/*! Bands where one or two degrees of freedom are all that can tell of excess scatter.

So few say next to nothing of an excess τ beyond the stated u: the band is the 95 % interval of a
mixture instead, over what the excess may be. The prior is stated, weak, and the same for everyone:
u explains all scatter with a chance of 0.8; else ln(1 + τ/u) is uniform up to an excess of a
thousand times u, which for large scatter gives way to Student's t with its few degrees of
freedom. What this covers at a given excess is in docs/methods-drift.md.

With σ² = u² + τ² and every u alike, χ²·u²/σ² has the χ² distribution of ν degrees of freedom,
so that the weight of σ is σ⁻ᵛ·exp(−χ²u²/2σ²) times its prior. No allocation.
*/

use crate::stats::{normal_upper_two_sided, quantile, root_within};

/// Chance that the stated u explains all scatter. Our own choice, no source: with 0.5 three readings
/// of right u would be covered by 96.5 %, with 0.9 an excess twice u by 74 %.
const RIGHT: f64 = 0.8;
/// Largest excess over u.
const LARGEST: f64 = 1000.0;
/// Nodes of ln(1 + τ/u).
const QUADRATURE_POINTS: usize = 24;
/// What the 95 % band leaves out.
const OUTSIDE: f64 = 0.05;
/// The factor is found to this, on a logarithmic scale.
const CLOSE: f64 = 1e-4;

/// Half of the 95 % band over the stated u of what is predicted, for `chi_squared` against the
/// stated u with `freedom` degrees of freedom.
pub(crate) fn band_factor(chi_squared: f64, freedom: f64) -> f64 {
    let normal = quantile(1.0 - 0.5 * OUTSIDE, f64::INFINITY);
    let mut nodes = [(0.0, 0.0); QUADRATURE_POINTS + 1];
    // Weights are relative to those of the likeliest σ² = χ²/ν, so that none overflows.
    let likeliest = (chi_squared / freedom).max(1.0);
    let log_weight =
        |square: f64| -0.5 * (freedom * (square / likeliest).ln() + chi_squared / square);
    let largest = log_weight(likeliest);
    let weight = |square: f64| (log_weight(square) - largest).exp();
    nodes[0] = (1.0, RIGHT * weight(1.0));
    for (k, node) in nodes[1..].iter_mut().enumerate() {
        let share = (k as f64 + 0.5) / QUADRATURE_POINTS as f64;
        let excess = (share * LARGEST.ln_1p()).exp_m1();
        let square = 1.0 + excess * excess;
        *node = (
            square.sqrt(),
            (1.0 - RIGHT) / QUADRATURE_POINTS as f64 * weight(square),
        );
    }
    let total: f64 = nodes.iter().map(|(_, weight)| weight).sum();
    let outside = |log_factor: f64| {
        let factor = log_factor.exp();
        let beyond = |(scale, weight): &(f64, f64)| weight * normal_upper_two_sided(factor / scale);
        nodes.iter().map(beyond).sum::<f64>() / total - OUTSIDE
    };
    // From the band of the stated u to that of the largest excess.
    let (low, high) = (normal.ln(), (normal * LARGEST).ln());
    root_within(low, high, CLOSE, outside).map_or(f64::NAN, f64::exp)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::quantile;

    /// With growing scatter the band grows from a little over that of the stated u to that of
    /// Student's t (less the tail that the largest excess cuts), without a jump.
    #[test]
    fn grows_from_the_stated_u_to_student() {
        for freedom in [1.0, 2.0] {
            let factor = |chi_squared: f64| band_factor(chi_squared, freedom);
            let factors: Vec<f64> = (0..600)
                .map(|k| factor(0.1 * (0.02 * f64::from(k)).exp()))
                .collect();
            assert!(factors[0] > 1.96 && factors[0] < 2.6, "{}", factors[0]);
            let steady = |pair: &[f64]| pair[1] >= pair[0] - 1e-3 && pair[1] < 1.06 * pair[0];
            assert!(factors.windows(2).all(steady), "{factors:?}");
            let student = quantile(0.975, freedom) * (400.0 / freedom).sqrt();
            let share = factor(400.0) / student;
            assert!(share > 0.75 && share < 1.05, "{share}");
        }
        assert!(band_factor(f64::NAN, 1.0).is_nan());
    }
}
