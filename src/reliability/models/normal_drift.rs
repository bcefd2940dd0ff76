/*! Normal drift: an error of constant spread whose mean moves at a constant rate
towards one limit. R = Φ(θ₁ − d·t) + Φ(θ₁ + θ₂ + d·t) − 1 with θ₁ the distance to the
limit it moves to and θ₁ + θ₂ to the other, both in standard deviations at the start.
The mean starts no farther from the limit it moves to than from the other (θ₂ ≥ 0):
otherwise R would rise first, and "the time at which R falls to the target" would
not be one time. The mirror image is the same law.
Source: calibration-interval literature (NASA RP-1342, 1994); the formula is from memory, its values
are checked against closed forms.
*/

use super::{LifeModel, Parameter, Reduction};
use crate::stats::{ln_normal_above, normal_above};

pub(super) struct NormalDrift;

/// φ(z)/R from logarithms.
fn density_share(z: f64, ln_r: f64) -> f64 {
    (-0.5 * z * z - 0.5 * (2.0 * std::f64::consts::PI).ln() - ln_r).exp()
}

impl LifeModel for NormalDrift {
    fn parameters(&self) -> &'static [Parameter] {
        const {
            &[
                Parameter::new("near_limit", 0, 1e-3, 30.0),
                Parameter::new("far_excess", 0, 1e-6, 30.0),
                Parameter::new("drift", 1, 1e-6, 1e4),
            ]
        }
    }

    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64 {
        let (near, far) = (theta[0] - theta[2] * t, theta[0] + theta[1] + theta[2] * t);
        let value = if near > 0.0 {
            (-(normal_above(near) + normal_above(far))).ln_1p()
        } else {
            let tail = ln_normal_above(-near);
            tail + (-(ln_normal_above(far) - tail).exp()).ln_1p()
        };
        let (by_near, by_far) = (density_share(near, value), density_share(far, value));
        gradient[0] = by_near + by_far;
        gradient[1] = by_far;
        gradient[2] = t * (by_far - by_near);
        value
    }

    fn shapes(&self) -> &'static [&'static [f64]] {
        &[
            &[2.0, 1.0, 1.0],
            &[2.5, 3.5, 1.0],
            &[1.5, 0.5, 0.5],
            &[4.0, 0.01, 2.0],
        ]
    }

    fn reductions(&self) -> &'static [Reduction] {
        &[
            Reduction {
                parameter: 1,
                at: f64::INFINITY,
                becomes: None,
                words: "the far limit plays no part",
            },
            Reduction {
                parameter: 1,
                at: 0.0,
                becomes: None,
                words: "the mean starts in the middle",
            },
        ]
    }
}
