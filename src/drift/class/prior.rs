/*! What is believed of a class's rates before its readings speak.

The standard deviations of drift, wander and the excess beyond a stated u
have half-Cauchy priors (A. Gelman, *Prior distributions for variance parameters in
hierarchical models*, 2006): flat below their scale, so that few readings that look calm do not
rule out what is not calm, and with a tail that does not rule out a u stated far too small.
Drift and wander have one scale: what few readings cannot tell apart, the prior does not
either. Turning has a log-normal prior.
*/

use super::sample::Sample;
use crate::drift::class::rates::ClassScale;
use nalgebra::SVector;
use std::f64::consts::{PI, TAU};

/// Number of variances estimated.
pub(crate) const SIZE: usize = 4;
/// Logarithms of them: drift between members, wander, turning, noise.
pub(crate) type Vector = SVector<f64, SIZE>;

/// Prior medians of drift, wander and turning variance, and the variance of the class's mean
/// drift about zero.
struct Medians {
    drift: f64,
    wander: f64,
    turning: f64,
    mean_drift: f64,
}

/// In squares of the tolerance half-width. Drift and wander: an item set right that wanders by
/// 0.36 a root year is in tolerance after two years with a probability of 0.95, (1/1.96)²/2.
/// Turning (0.009 a year per root year) and mean drift (0.22 a year) were tuned in the closed
/// loop of docs/methods-state.md.
const BY_TOLERANCE: Medians = Medians {
    drift: 0.13,
    wander: 0.13,
    turning: 8e-5,
    mean_drift: 0.05,
};
/// In squares of the typical change between readings, where no tolerance is known.
const BY_CHANGE: Medians = Medians {
    drift: 9.0,
    wander: 1.0,
    turning: 0.1,
    mean_drift: 36.0,
};
/// Prior median of the excess variance over that of a reading (scale of the half-Cauchy
/// prior: an excess of 0.07 u).
const EXCESS_CENTRE: f64 = 0.0054;
/// Prior median of the share of a stated variance that is each reading's own, where the rest is
/// shared, and the standard deviation of its logarithm: wide. Our own choice, no source.
const OWN_CENTRE: f64 = 0.25;
const OWN_WIDTH: f64 = 1.5;
/// Prior median of the variance of a member's cosine and sine where the members swing (scale of the
/// half-Cauchy prior): a tenth of the half-width, and half a typical change. Our own choice, no
/// source.
const SWING_BY_TOLERANCE: f64 = 0.01;
const SWING_BY_CHANGE: f64 = 0.25;
/// Standard deviation that the curvature of a half-Cauchy prior gives the log variance at its
/// median.
const HALF_CAUCHY_WIDTH: f64 = 2.0;
/// Logs of the variances of drift and wander over their prior medians where a search begins: a
/// third and a sixth of their deviations, so that drifts are tried before they pass for wander.
const CALM_DRIFT: f64 = -2.4;
const CALM_WANDER: f64 = -3.6;
/// Smallest noise variance the priors are hung on, in squares of the scale.
const LEAST_NOISE: f64 = 1e-12;

/// What the fourth log variance stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum NoiseTerm {
    /// The variance of a reading, where no u is stated.
    Whole,
    /// The excess beyond a stated u.
    Excess,
    /// The share of a stated variance that is each reading's own; the rest is shared.
    Own,
}

/// What the third log variance stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum MotionTerm {
    /// The turning of the drift.
    Turning,
    /// The variance of a member's cosine and sine of the year.
    Swing,
}

/// Where the priors of the log variances stand and how wide they are.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Prior {
    pub centre: Vector,
    pub width: Vector,
    /// Variance of the class's mean drift about zero.
    pub mean_drift: f64,
    /// What the third variance is.
    pub motion: MotionTerm,
    /// What the fourth variance is.
    pub noise: NoiseTerm,
}

impl Prior {
    /// Priors in units of the tolerance, or of the typical change between readings.
    pub(crate) fn of(sample: &Sample) -> Self {
        let noise = if sample.some_stated {
            EXCESS_CENTRE * sample.unstated_noise.max(LEAST_NOISE)
        } else if sample.change > 0.0 {
            0.5 * sample.change
        } else {
            0.01
        };
        let medians = match sample.scale {
            ClassScale::Tolerance => BY_TOLERANCE,
            ClassScale::Fixed(_) | ClassScale::Unknown => BY_CHANGE,
        };
        Self {
            centre: Vector::new(medians.drift, medians.wander, medians.turning, noise).map(f64::ln),
            width: Vector::new(HALF_CAUCHY_WIDTH, HALF_CAUCHY_WIDTH, 2.0, 2.0),
            mean_drift: medians.mean_drift,
            motion: MotionTerm::Turning,
            noise: match sample.some_stated {
                true => NoiseTerm::Excess,
                false => NoiseTerm::Whole,
            },
        }
    }

    /// The same where a stated u is shared by all checks.
    pub(crate) fn with_shared_u(mut self) -> Self {
        self.noise = NoiseTerm::Own;
        self.centre[3] = OWN_CENTRE.ln();
        self.width[3] = OWN_WIDTH;
        self
    }

    /// The same where the members swing with the year, and drifts turn as believed before.
    pub(crate) fn with_swing(mut self, scale: ClassScale) -> Self {
        let swing: f64 = match scale {
            ClassScale::Tolerance => SWING_BY_TOLERANCE,
            ClassScale::Fixed(_) | ClassScale::Unknown => SWING_BY_CHANGE,
        };
        self.motion = MotionTerm::Swing;
        self.centre[2] = swing.ln();
        self
    }

    /// Where a search begins.
    pub(crate) fn calm(&self) -> Vector {
        self.centre + Vector::new(CALM_DRIFT, CALM_WANDER, 0.0, 0.0)
    }

    /// Log density of the log variances, constants left out.
    pub(crate) fn log_density(&self, at: &Vector) -> f64 {
        self.log_density_of_motion(at) + self.log_density_of_noise(at)
    }

    fn log_density_of_motion(&self, at: &Vector) -> f64 {
        let off = at - self.centre;
        let third = match self.motion {
            MotionTerm::Turning => -0.5 * (off[2] / self.width[2]).powi(2),
            MotionTerm::Swing => half_cauchy(off[2]),
        };
        half_cauchy(off[0]) + half_cauchy(off[1]) + third
    }

    /// The constant that [`Prior::log_density`] leaves out and that differs with what the third
    /// variance is.
    pub(crate) fn log_constant_of_motion(&self) -> f64 {
        match self.motion {
            MotionTerm::Turning => -(self.width[2] * TAU.sqrt()).ln(),
            MotionTerm::Swing => -PI.ln(),
        }
    }

    pub(crate) fn log_density_of_noise(&self, at: &Vector) -> f64 {
        let noise = at[3] - self.centre[3];
        match self.noise {
            NoiseTerm::Excess => half_cauchy(noise),
            NoiseTerm::Whole | NoiseTerm::Own => -0.5 * (noise / self.width[3]).powi(2),
        }
    }
}

/// Log density of a log variance whose standard deviation has a half-Cauchy prior, `off` from
/// that of the prior's scale (its median too), the constant left out.
fn half_cauchy(off: f64) -> f64 {
    0.5 * off - off.exp().ln_1p()
}
