/*! Exponentially weighted moving average: finds small lasting shifts.

z_i = λ·x_i + (1 − λ)·z_{i−1}, started at the centre; limits centre ± L·√V_i, exact from the first
value, with V_i = λ²·s_i² + (1 − λ)²·V_{i−1}. For values of one deviation that is centre ±
L·s·√(λ/(2 − λ)·(1 − (1 − λ)^{2i})), e-Handbook 6.3.2.4.
*/

/// One value of the average with its exact half-width.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct EwmaPoint {
    /// The average.
    pub value: f64,
    /// Half-width of its limits about the centre.
    pub half_width: f64,
}

/// The average over `values` about `centre`, each with its deviation.
pub(crate) fn ewma(
    values: &[f64],
    deviations: &[f64],
    centre: f64,
    weight: f64,
    width: f64,
) -> Vec<EwmaPoint> {
    let mut last = centre;
    // Its standard deviation; kept as a root, so that no unit takes its square out of range.
    let mut spread = 0.0_f64;
    let point = |(value, deviation): (&f64, &f64)| {
        last = weight * value + (1.0 - weight) * last;
        spread = (weight * deviation).hypot((1.0 - weight) * spread);
        EwmaPoint {
            value: last,
            half_width: width * spread,
        }
    };
    values.iter().zip(deviations).map(point).collect()
}
