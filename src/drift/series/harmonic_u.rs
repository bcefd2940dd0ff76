/*! What a scatter that is known in the u of each reading comes to in the unit of the readings. */

use super::readings::Reading;

/// Root of the harmonic mean of u², 1/√(mean of 1/u²): that u of all readings which gives them the
/// weight that they have.
pub(crate) fn harmonic_u(readings: &[Reading]) -> f64 {
    let smallest = readings.iter().map(|r| r.u).fold(f64::INFINITY, f64::min);
    // About the smallest, so that no u is too small or too large to be squared.
    let weights: f64 = readings.iter().map(|r| (smallest / r.u).powi(2)).sum();
    smallest * (readings.len() as f64 / weights).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Of u = 1 and 2: 1/u² is 1 and 1/4, their mean 5/8, and its root's inverse √1.6.
    #[test]
    fn it_is_the_u_of_equal_weights() {
        let readings = [1.0, 2.0].map(|u| Reading {
            u,
            ..Reading::default()
        });
        near!(harmonic_u(&readings), 1.6_f64.sqrt(), 1e-15);
        let far = readings.map(|r| Reading {
            u: r.u * 1e-200,
            ..r
        });
        near!(harmonic_u(&far) / 1e-200, 1.6_f64.sqrt(), 1e-12);
    }
}
