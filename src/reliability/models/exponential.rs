/*! Exponential: sudden random events at a constant rate, no memory. R = exp(−λt).
Source: Jackson and Castrup, NCSL Workshop & Symposium 1987.
*/

use super::{LifeModel, Parameter};

pub(super) struct Exponential;

impl LifeModel for Exponential {
    fn parameters(&self) -> &'static [Parameter] {
        const { &[Parameter::new("rate", 1, 1e-9, 1e4)] }
    }

    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64 {
        gradient[0] = -t;
        -theta[0] * t
    }

    fn shapes(&self) -> &'static [&'static [f64]] {
        &[&[1.0]]
    }
}
