/*! Normal drift: an error of constant spread whose mean moves at a constant rate
towards one limit. R = Φ(θ₁ + θ₃t) + Φ(θ₂ − θ₃t) − 1 with θ₁ the distance to the limit
it moves to, θ₂ to the other, both in standard deviations, and −θ₃ the drift. The
mirror image is the same law, so the drift is taken positive here. */

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
                Parameter::new("far_limit", 0, 1e-3, 30.0),
                Parameter::new("drift", 1, 1e-6, 1e4),
            ]
        }
    }

    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64 {
        let (near, far) = (theta[0] - theta[2] * t, theta[1] + theta[2] * t);
        let value = if near > 0.0 {
            (-(normal_above(near) + normal_above(far))).ln_1p()
        } else {
            let tail = ln_normal_above(-near);
            tail + (-(ln_normal_above(far) - tail).exp()).ln_1p()
        };
        let (by_near, by_far) = (density_share(near, value), density_share(far, value));
        gradient[0] = by_near;
        gradient[1] = by_far;
        gradient[2] = t * (by_far - by_near);
        value
    }

    fn shapes(&self) -> &'static [&'static [f64]] {
        &[
            &[2.0, 3.0, 1.0],
            &[2.5, 6.0, 1.0],
            &[1.5, 2.0, 0.5],
            &[4.0, 4.0, 2.0],
        ]
    }

    fn reductions(&self) -> &'static [Reduction] {
        &[Reduction {
            parameter: 1,
            at: f64::INFINITY,
            becomes: None,
            words: "the far limit plays no part",
        }]
    }

    fn formula(&self) -> &'static str {
        "Φ(θ₁ − d·t) + Φ(θ₂ + d·t) − 1"
    }

    fn source(&self) -> &'static str {
        super::INTERVAL_LITERATURE
    }
}
