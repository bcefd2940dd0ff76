/*! Weibull: wear-out (shape above 1) or early failures (below 1). R = exp(−(λt)^β).
Source: W. Weibull, Journal of Applied Mechanics 18 (1951) 293–297.
*/

use super::{LifeModel, Parameter};

pub(super) struct Weibull;

impl LifeModel for Weibull {
    fn parameters(&self) -> &'static [Parameter] {
        const {
            &[
                Parameter::new("rate", 1, 1e-12, 1e6),
                Parameter::new("shape", 0, 0.02, 100.0),
            ]
        }
    }

    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64 {
        let (rate, shape) = (theta[0], theta[1]);
        let log = (rate * t).ln();
        let hazard = if t > 0.0 { (shape * log).exp() } else { 0.0 };
        gradient[0] = -hazard * shape / rate;
        gradient[1] = if hazard > 0.0 { -hazard * log } else { 0.0 };
        -hazard
    }

    fn shapes(&self) -> &'static [&'static [f64]] {
        &[&[1.0, 1.5], &[1.0, 0.7], &[1.0, 4.0]]
    }
}
