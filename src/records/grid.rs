/*! The grid on which values stand, and what it adds to their uncertainties. */

use crate::words::figure;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// The grid of a history's values and what it adds, in the history's unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Grid {
    /// Step δ.
    pub step: f64,
    /// δ/√12, added to the u of every reading.
    pub u: f64,
    /// Its part that averaging does not take away, added to u_common.
    pub u_common: f64,
}

impl Grid {
    /// Of a step, where a reading scatters by `noise` beside it.
    pub(super) fn of(step: f64, noise: f64) -> Self {
        let u = step / 12f64.sqrt();
        let moved = PI * noise / step;
        Self {
            step,
            u,
            u_common: u * (-2.0 * moved * moved).exp(),
        }
    }

    /// What was added, as a sentence.
    pub fn sentence(&self, unit: &str) -> String {
        format!(
            "its values stand on steps of {}; their part, {} (the step over √12, GUM F.2.2.1), was added to u, and {} of it, which averaging does not take away, to u_common",
            figure(self.step, unit),
            figure(self.u, unit),
            figure(self.u_common, unit),
        )
    }

    /// True where this grid is the greater part of the variance of a reading with `u`, its part in
    /// it: whatever the readings scatter by then is the grid's doing.
    pub fn rules(&self, u: f64) -> bool {
        u * u < 2.0 * self.u * self.u
    }

    /// u and u_common of a reading with this grid's part; a u that is not stated stays so.
    pub fn widened(&self, u: f64, u_common: f64) -> (f64, f64) {
        (u.hypot(self.u), u_common.hypot(self.u_common))
    }
}
