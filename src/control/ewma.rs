/*! Exponentially weighted moving average: finds small lasting shifts.

z_i = λ·x_i + (1 − λ)·z_{i−1}, started at the centre; limits centre ± L·s·√(λ/(2 − λ)·
(1 − (1 − λ)^{2i})), exact from the first value. Source: e-Handbook 6.3.2.4.
*/

/// One value of the average with its exact half-width.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct EwmaPoint {
    /// The average.
    pub value: f64,
    /// Half-width of its limits about the centre.
    pub half_width: f64,
}

/// The average over `values` about `centre` with deviation `deviation`.
pub(crate) fn ewma(
    values: &[f64],
    centre: f64,
    deviation: f64,
    weight: f64,
    width: f64,
) -> Vec<EwmaPoint> {
    let settled = width * deviation * (weight / (2.0 - weight)).sqrt();
    let mut last = centre;
    let mut memory = 1.0;
    let point = |value: &f64| {
        last = weight * value + (1.0 - weight) * last;
        memory *= (1.0 - weight) * (1.0 - weight);
        EwmaPoint {
            value: last,
            half_width: settled * (1.0 - memory).sqrt(),
        }
    };
    values.iter().map(point).collect()
}
