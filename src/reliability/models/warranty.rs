/*! Warranty: a high plateau and a fall about one time. R = 1/(1 + e^(θ₁(t − θ₂))).
Source: calibration-interval literature (NASA RP-1342, 1994); the formula is from memory, its values
are checked against closed forms.
*/

use super::{LifeModel, Parameter};

pub(super) struct Warranty;

/// ln(1 + e^x) without overflow.
fn softplus(x: f64) -> f64 {
    x.max(0.0) + (-x.abs()).exp().ln_1p()
}

impl LifeModel for Warranty {
    fn parameters(&self) -> &'static [Parameter] {
        const {
            &[
                Parameter::new("steepness", 1, 1e-6, 1e4),
                Parameter::new("middle", -1, 1e-6, 1e4),
            ]
        }
    }

    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64 {
        let x = theta[0] * (t - theta[1]);
        let out = 1.0 / (1.0 + (-x).exp());
        gradient[0] = -out * (t - theta[1]);
        gradient[1] = out * theta[0];
        -softplus(x)
    }

    fn shapes(&self) -> &'static [&'static [f64]] {
        &[&[4.0, 1.0], &[2.0, 1.0], &[12.0, 1.0]]
    }
}
