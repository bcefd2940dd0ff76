/*! Lognormal: degradation by many small factors. R = 1 − Φ(ln(θ₁t)/θ₂).
Source: calibration-interval literature (NASA RP-1342, 1994); the formula is from memory, its values
are checked against closed forms.
*/

use super::{LifeModel, Parameter};
use crate::stats::{ln_normal_above, normal_hazard};

pub(super) struct Lognormal;

impl LifeModel for Lognormal {
    fn parameters(&self) -> &'static [Parameter] {
        const {
            &[
                Parameter::new("rate", 1, 1e-12, 1e6),
                Parameter::new("deviation", 0, 0.01, 50.0),
            ]
        }
    }

    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64 {
        if t <= 0.0 {
            gradient[..2].fill(0.0);
            return 0.0;
        }
        let z = (theta[0] * t).ln() / theta[1];
        let hazard = normal_hazard(z);
        gradient[0] = -hazard / (theta[0] * theta[1]);
        gradient[1] = hazard * z / theta[1];
        ln_normal_above(z)
    }

    fn shapes(&self) -> &'static [&'static [f64]] {
        &[&[1.0, 0.8], &[1.0, 2.0], &[1.0, 0.3]]
    }
}
