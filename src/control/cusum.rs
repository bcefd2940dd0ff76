/*! Tabular cumulative sums: find a shift of known size soonest.

S⁺ = max(0, S⁺ + z − k) and S⁻ = max(0, S⁻ − z − k) of the values in deviations from the
centre; no reset after a signal. Source: e-Handbook 6.3.2.3.
*/

/// Both sums after one value, in deviations.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct CusumPoint {
    /// Evidence of a shift upwards.
    pub upper: f64,
    /// Evidence of a shift downwards.
    pub lower: f64,
}

/// The sums over values `z` in deviations from the centre, with allowance `allowance`.
pub(crate) fn cusum(z: &[f64], allowance: f64) -> Vec<CusumPoint> {
    let mut sums = CusumPoint::default();
    let point = |z: &f64| {
        sums.upper = (sums.upper + z - allowance).max(0.0);
        sums.lower = (sums.lower - z - allowance).max(0.0);
        sums
    };
    z.iter().map(point).collect()
}
