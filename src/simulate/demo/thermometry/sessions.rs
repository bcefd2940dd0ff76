/*! What all sessions of the demo share: their days, the reference resistor, the cells, the noise. */

use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64Mcg;

/// First session, 2024-07-10.
pub(super) const FIRST_DAY: f64 = 19_914.0;
/// Days between sessions.
pub(super) const STEP_DAYS: f64 = 30.0;
/// Readings in each run of one current.
pub(super) const RUN: u32 = 6;
/// dR/dT over R at the triple point of water, 1/K.
pub(super) const SLOPE: f64 = 3.988_528_485e-3;
/// Standard deviation of one reading of the ratio.
pub(super) const NOISE: f64 = 6e-9;
/// Reference resistor at 20 °C, Ω, and its linear coefficient, 1/K.
pub(super) const RESISTOR_OHM: f64 = 100.000_213;
pub(super) const RESISTOR_ALPHA: f64 = 1.5e-6;
/// Departure of the cells at the sensor from 273.16 K: head of 0.265 m and isotopes, K.
pub(super) const DEPARTURE_K: f64 = -236.8e-6;

/// One draw from the standard normal distribution.
pub(super) fn normal(random: &mut Pcg64Mcg) -> f64 {
    StandardNormal.sample(random)
}
