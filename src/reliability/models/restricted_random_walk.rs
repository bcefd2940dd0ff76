/*! Restricted random walk: diffusion with a restoring pull, so the variance saturates.
R = erf(1/√(θ₁ + θ₂(1 − e^(−θ₃t)))), written with the first diffusion s = θ₂θ₃, so that
θ₃ = 0 is the random walk and `1 − e^(−θ₃t)` never cancels.
Source: calibration-interval literature (NASA RP-1342, 1994); the formula is from memory, its values
are checked against closed forms.
*/

use super::random_walk::ln_inside;
use super::{LifeModel, LifeModelName, Parameter, Reduction};

pub(super) struct RestrictedRandomWalk;

/// (1 − e^(−x))/x and its slope in x.
fn slowed(x: f64) -> (f64, f64) {
    if x < 1e-4 {
        return (
            1.0 - x * (0.5 - x * (1.0 / 6.0 - x / 24.0)),
            -0.5 + x * (1.0 / 3.0 - x * 0.125),
        );
    }
    let value = -(-x).exp_m1() / x;
    (value, ((-x).exp() - value) / x)
}

impl LifeModel for RestrictedRandomWalk {
    fn parameters(&self) -> &'static [Parameter] {
        const {
            &[
                Parameter::new("start_variance", 0, 1e-9, 1e6),
                Parameter::new("diffusion", 1, 1e-9, 1e8),
                Parameter::new("pull", 1, 1e-9, 1e4),
            ]
        }
    }

    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64 {
        let (share, share_slope) = slowed(theta[2] * t);
        let (value, slope) = ln_inside(theta[0] + theta[1] * t * share);
        gradient[0] = slope;
        gradient[1] = slope * t * share;
        gradient[2] = slope * theta[1] * t * t * share_slope;
        value
    }

    fn shapes(&self) -> &'static [&'static [f64]] {
        &[&[0.1, 1.0, 0.3], &[0.1, 1.0, 0.03], &[0.3, 3.0, 1.0]]
    }

    fn reductions(&self) -> &'static [Reduction] {
        &[
            Reduction {
                parameter: 2,
                at: 0.0,
                becomes: Some(LifeModelName::RandomWalk),
                words: "no pull: the random walk",
            },
            Reduction {
                parameter: 0,
                at: 0.0,
                becomes: None,
                words: "no spread at the start",
            },
        ]
    }
}
