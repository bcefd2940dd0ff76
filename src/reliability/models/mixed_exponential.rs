/*! Mixed exponential: items with constant rates that differ by a gamma distribution.
R = (1 + λt)^(−β), written with the mean rate r = λβ and the spread v = 1/β, so that
v = 0 is the exponential and no digit is lost on the way there.
Source: calibration-interval literature (NASA RP-1342, 1994); the formula is from memory, its values
are checked against closed forms.
*/

use super::{LifeModel, LifeModelName, Parameter, Reduction};

pub(super) struct MixedExponential;

/// Below this v·r·t the two leading terms of the series are exact.
const SMALL: f64 = 1e-5;

impl LifeModel for MixedExponential {
    fn parameters(&self) -> &'static [Parameter] {
        const {
            &[
                Parameter::new("mean_rate", 1, 1e-9, 1e6),
                Parameter::new("rate_spread", 0, 1e-9, 1e4),
            ]
        }
    }

    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64 {
        let (rate, spread) = (theta[0], theta[1]);
        let x = rate * t;
        let y = spread * x;
        gradient[0] = -t / (1.0 + y);
        if y < SMALL {
            gradient[1] = x * x * (0.5 - y * (2.0 / 3.0 - 0.75 * y));
            return -x * (1.0 - y * (0.5 - y / 3.0));
        }
        gradient[1] = (y.ln_1p() - y / (1.0 + y)) / (spread * spread);
        -y.ln_1p() / spread
    }

    fn shapes(&self) -> &'static [&'static [f64]] {
        &[&[1.0, 0.3], &[1.0, 3.0]]
    }

    fn reductions(&self) -> &'static [Reduction] {
        &[Reduction {
            parameter: 1,
            at: 0.0,
            becomes: Some(LifeModelName::Exponential),
            words: "all items share one rate: the exponential",
        }]
    }
}
