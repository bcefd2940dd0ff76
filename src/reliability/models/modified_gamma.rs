/*! Modified gamma: four stages of wear. R = e^(−λt) Σₖ₌₀..₃ (λt)^k/k!.
Source: calibration-interval literature (NASA RP-1342, 1994); the formula is from memory, its values
are checked against closed forms.
*/

use super::{LifeModel, Parameter};
use crate::stats::ln_gamma_above;

pub(super) struct ModifiedGamma;

/// Number of stages.
const STAGES: f64 = 4.0;

impl LifeModel for ModifiedGamma {
    fn parameters(&self) -> &'static [Parameter] {
        const { &[Parameter::new("rate", 1, 1e-6, 1e6)] }
    }

    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64 {
        // The upper tail of the gamma distribution of shape 4 is this sum; its
        // series keeps the digits of 1 − R where λt is small.
        let (value, _, slope) = ln_gamma_above(STAGES, theta[0] * t);
        gradient[0] = slope * t;
        value
    }

    fn shapes(&self) -> &'static [&'static [f64]] {
        &[&[1.0]]
    }
}
