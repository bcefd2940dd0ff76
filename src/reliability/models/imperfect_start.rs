/*! Exponential with imperfect start: a share of items leaves out of tolerance.
R = R₀·exp(−λt), written with the start loss a = −ln R₀ so that a = 0 is the exponential.
Source: NASA RP-1342 (1994), equations D.6 and D.7.
*/

use super::{LifeModel, LifeModelName, Parameter, Reduction};

pub(super) struct ImperfectStart;

impl LifeModel for ImperfectStart {
    fn parameters(&self) -> &'static [Parameter] {
        const {
            &[
                Parameter::new("start_loss", 0, 1e-9, 20.0),
                Parameter::new("rate", 1, 1e-9, 1e4),
            ]
        }
    }

    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64 {
        gradient[0] = -1.0;
        gradient[1] = -t;
        -theta[0] - theta[1] * t
    }

    fn shapes(&self) -> &'static [&'static [f64]] {
        &[&[0.01, 1.0], &[0.1, 1.0]]
    }

    fn reductions(&self) -> &'static [Reduction] {
        &[
            Reduction {
                parameter: 0,
                at: 0.0,
                becomes: Some(LifeModelName::Exponential),
                words: "no loss at the start: the exponential",
            },
            Reduction {
                parameter: 1,
                at: 0.0,
                becomes: None,
                words: "no loss after the start: R is constant",
            },
        ]
    }
}
