/*! Gamma: the item passes several exponential stages of wear (Erlang for whole shapes).
R = Γ(β, λt)/Γ(β), the upper incomplete gamma function.
Source: calibration-interval literature (NASA RP-1342, 1994); the formula is from memory, its values
are checked against closed forms.
*/

use super::{LifeModel, Parameter};
use crate::stats::ln_gamma_above;

pub(super) struct Gamma;

impl LifeModel for Gamma {
    fn parameters(&self) -> &'static [Parameter] {
        const {
            &[
                Parameter::new("rate", 1, 1e-12, 1e6),
                Parameter::new("shape", 0, 0.02, 1e3),
            ]
        }
    }

    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64 {
        let (value, by_shape, by_x) = ln_gamma_above(theta[1], theta[0] * t);
        gradient[0] = by_x * t;
        gradient[1] = by_shape;
        value
    }

    fn shapes(&self) -> &'static [&'static [f64]] {
        &[&[1.0, 2.0], &[1.0, 0.6], &[1.0, 8.0]]
    }
}
