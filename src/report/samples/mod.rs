/*! Invented views for tests and pictures; a small fixed generator, no clock. */

mod control;
mod digest;
mod fleet;
mod group;
mod history;
mod uncertainty;

pub(crate) use control::control;
pub(crate) use digest::digest;
pub(crate) use fleet::fleet;
pub(crate) use history::{eventful, history, resistor, scaled};
pub(crate) use uncertainty::{approved, growth};

/// A fixed pseudo-random sequence in −1 … 1 (Numerical Recipes' 32-bit LCG constants).
pub(crate) struct Noise(pub u32);

impl Iterator for Noise {
    type Item = f64;
    fn next(&mut self) -> Option<f64> {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        Some(f64::from(self.0) / f64::from(u32::MAX) * 2.0 - 1.0)
    }
}
