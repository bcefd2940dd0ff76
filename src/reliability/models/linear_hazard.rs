/*! Linear hazard: the rate of going out starts at θ₁ and grows by 2θ₂ a year.
R = exp(−(θ₁t + θ₂t²)).
Source: calibration-interval literature (NASA RP-1342, 1994); the formula is from memory, its values
are checked against closed forms.
*/

use super::{LifeModel, LifeModelName, Parameter, Reduction};

pub(super) struct LinearHazard;

impl LifeModel for LinearHazard {
    fn parameters(&self) -> &'static [Parameter] {
        const {
            &[
                Parameter::new("rate", 1, 1e-9, 1e4),
                Parameter::new("rate_growth", 2, 1e-9, 1e4),
            ]
        }
    }

    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64 {
        gradient[0] = -t;
        gradient[1] = -t * t;
        -t * (theta[0] + theta[1] * t)
    }

    fn shapes(&self) -> &'static [&'static [f64]] {
        &[&[0.5, 0.5], &[1.0, 0.02], &[0.02, 1.0]]
    }

    fn reductions(&self) -> &'static [Reduction] {
        &[
            Reduction {
                parameter: 1,
                at: 0.0,
                becomes: Some(LifeModelName::Exponential),
                words: "the hazard does not grow: the exponential",
            },
            Reduction {
                parameter: 0,
                at: 0.0,
                becomes: None,
                words: "the hazard starts at nothing",
            },
        ]
    }
}
