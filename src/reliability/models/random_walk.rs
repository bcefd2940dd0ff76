/*! Random walk: the error diffuses, its variance grows in proportion to time.
R = erf(1/√(θ₁ + θ₂t)); θ₁ + θ₂t = 2σ²(t)/L² for limits ±L.
Source: calibration-interval literature (NASA RP-1342, 1994); the formula is from memory, its values
are checked against closed forms.
*/

use super::{LifeModel, Parameter, Reduction};
use crate::stats::ln_erf;

pub(super) struct RandomWalk;

/// ln erf(1/√v) and its slope in v; 0 at v = 0.
pub(super) fn ln_inside(v: f64) -> (f64, f64) {
    if v <= 0.0 {
        return (0.0, 0.0);
    }
    let x = 1.0 / v.sqrt();
    let (value, slope) = ln_erf(x);
    let slope = if slope == 0.0 {
        0.0
    } else {
        -0.5 * slope * x / v
    };
    (value, slope)
}

impl LifeModel for RandomWalk {
    fn parameters(&self) -> &'static [Parameter] {
        const {
            &[
                Parameter::new("start_variance", 0, 1e-9, 1e6),
                Parameter::new("diffusion", 1, 1e-9, 1e8),
            ]
        }
    }

    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64 {
        let (value, slope) = ln_inside(theta[0] + theta[1] * t);
        gradient[0] = slope;
        gradient[1] = slope * t;
        value
    }

    fn shapes(&self) -> &'static [&'static [f64]] {
        &[&[0.1, 1.0], &[0.5, 1.0]]
    }

    fn reductions(&self) -> &'static [Reduction] {
        &[Reduction {
            parameter: 0,
            at: 0.0,
            becomes: None,
            words: "no spread at the start",
        }]
    }
}
