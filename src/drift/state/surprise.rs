/*! What a reading far from the expected error may mean, and what is believed after it.

Four readings of a surprise are weighed by their likelihood: nothing but chance; the
level stepped; the drift broke (at any time since the last reading); the reading itself is
outlying. Belief after it is the mixture of the four, carried on by its mean and variance
(a Gaussian sum collapsed at every step: D. L. Alspach and H. W. Sorenson, *Nonlinear
Bayesian estimation using Gaussian sum approximations*, 1972). Where two meanings explain
a reading alike the belief stays wide between them, and the next reading decides: that
costs no second pass and no list of hypotheses.
*/

use crate::drift::state::estimate::{LEAST_VARIANCE, StateEstimate};
use crate::stats::normal_quantile;
use serde::{Deserialize, Serialize};

/// Squared innovation, in its variances, up to which a reading surprises nobody: the other
/// meanings then weigh too little to compute.
pub(crate) const QUIET: f64 = 8.0;

/// Share of readings outside a 95 % band.
const OUTSIDE: f64 = 0.05;
/// Share of the outlying readings that fall outside it: they scatter three times as much as
/// others, and 2Φ(−1.96/3) = 0.51; it is 0.46 where they are so many that the band is at its widest.
const OUTLYING_OUTSIDE: f64 = 0.5;
/// Shares of outlying readings beyond this do not widen the band further.
const LARGEST_SHARE: f64 = 0.06;

/// Squared distance, in variances, from which the tail of a step's size begins, and that of
/// an outlying reading.
const STEP_REACH: f64 = 9.0;
const OUTLYING_REACH: f64 = 16.0;

/// Share of the way that may be left when the next reading takes a surprise back. Our own
/// choice, no source.
const TAKEN_BACK: f64 = 0.3;

/// Belief in a meaning below which it is hardly carried on: about 0.03, where the bands of the
/// simulated classes and of the two published histories hold (docs/methods-state.md).
const HARDLY_BELIEVED: f64 = 0.032;

/// How often and by how much a class surprises, in its scale and pace.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Surprises {
    /// Steps of the level a year, as expected.
    pub step_rate: f64,
    /// Years watched for steps, those that the belief before is worth counted in.
    pub step_years: f64,
    /// Breaks of the drift a year.
    pub break_rate: f64,
    /// Share of readings that are outlying.
    pub outlying_share: f64,
    pub step_variance: f64,
    /// Variance of the drift that a break adds.
    pub break_variance: f64,
    /// Variance of an outlying reading over that of another.
    pub outlying_factor: f64,
}

/// How much each meaning of one reading is believed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Meaning {
    /// The level stepped.
    pub step: f64,
    /// The drift broke.
    pub broken: f64,
    /// The reading is outlying.
    pub outlying: f64,
}

impl Meaning {
    /// Belief in any meaning but chance.
    pub(crate) fn surprise(&self) -> f64 {
        self.step + self.broken + self.outlying
    }

    /// This and `weight` times another.
    pub(crate) fn plus(&self, other: &Self, weight: f64) -> Self {
        Self {
            step: self.step + weight * other.step,
            broken: self.broken + weight * other.broken,
            outlying: self.outlying + weight * other.outlying,
        }
    }
}

/// A reading taken in.
#[derive(Debug, Clone, Copy)]
pub(crate) struct MixtureUpdate {
    pub estimate: StateEstimate,
    pub meaning: Meaning,
    /// Part of the innovation that moves the error and the drift, over all meanings.
    pub gain: f64,
    pub drift_gain: f64,
    /// Mean of one over the innovation's variance.
    pub precision: f64,
    /// Log likelihood, the constant left out.
    pub log_likelihood: f64,
}

impl Surprises {
    /// Weight of each meaning before the reading is seen: chance, step, break, outlying;
    /// chance keeps at least a quarter.
    fn before(&self, time: f64) -> [f64; 4] {
        let (step, broken) = (
            (self.step_rate * time).min(0.25),
            (self.break_rate * time).min(0.25),
        );
        let outlying = self.outlying_share.min(0.25);
        [1.0 - step - broken - outlying, step, broken, outlying]
    }

    /// Log likelihood that a reading `time` after the last loses to the other meanings.
    pub(crate) fn quiet_loss(&self, time: f64) -> f64 {
        -(self.step_rate + self.break_rate) * time - self.outlying_share
    }

    /// Factor on the variance of a reading so that a band made for 95 % holds 95 % of the
    /// readings although half of the outlying ones fall outside it: the others must fall
    /// inside more often.
    pub(crate) fn spread(&self) -> f64 {
        let outlying = self.outlying_share.min(LARGEST_SHARE);
        let outside = (OUTSIDE - OUTLYING_OUTSIDE * outlying) / (1.0 - outlying);
        let wider = normal_quantile(1.0 - 0.5 * outside) / normal_quantile(1.0 - 0.5 * OUTSIDE);
        wider * wider
    }

    /// Belief and meaning after a reading, without weighing where it surprises nobody.
    pub(crate) fn update(
        &self,
        before: &StateEstimate,
        off: f64,
        noise: f64,
        time: f64,
    ) -> (StateEstimate, Meaning) {
        let variance = (before.error_variance + noise).max(LEAST_VARIANCE);
        if off * off <= QUIET * variance {
            return (before.updated(off, noise), Meaning::default());
        }
        let update = self.mixture_update(before, off, noise, time);
        (update.estimate, update.meaning)
    }

    /// What is believed once a reading of variance `noise`, `time` after the last one,
    /// fell `off` from the expected error.
    pub(crate) fn mixture_update(
        &self,
        before: &StateEstimate,
        off: f64,
        noise: f64,
        time: f64,
    ) -> MixtureUpdate {
        let broken = StateEstimate {
            error_variance: before.error_variance + self.break_variance * time * time / 3.0,
            covariance: before.covariance + self.break_variance * time / 2.0,
            drift_variance: before.drift_variance + self.break_variance,
            ..*before
        };
        let other = before.error_variance + noise;
        let (step, step_left) = stretched(self.step_variance, other, off, STEP_REACH);
        let (outlying, outlying_left) =
            stretched(noise * self.outlying_factor, other, off, OUTLYING_REACH);
        let stepped = StateEstimate {
            error_variance: before.error_variance + step,
            ..*before
        };
        let cases = [
            (*before, noise),
            (stepped, noise),
            (broken, noise),
            (*before, noise + outlying),
        ];
        let variances =
            cases.map(|(estimate, noise)| (estimate.error_variance + noise).max(LEAST_VARIANCE));
        let mut prior = self.before(time);
        prior[1] *= step_left;
        prior[3] *= outlying_left;
        let (weights, log_likelihood) = weighed(prior, variances, off);
        let after = cases.map(|(estimate, noise)| estimate.updated(off, noise));
        let over =
            |part: &dyn Fn(usize) -> f64| -> f64 { (0..4).map(|i| weights[i] * part(i)).sum() };
        let error = over(&|i| after[i].error);
        let drift = over(&|i| after[i].drift);
        let estimate = StateEstimate {
            error,
            drift,
            error_variance: over(&|i| after[i].error_variance + (after[i].error - error).powi(2)),
            covariance: over(&|i| {
                after[i].covariance + (after[i].error - error) * (after[i].drift - drift)
            }),
            drift_variance: over(&|i| after[i].drift_variance + (after[i].drift - drift).powi(2)),
        };
        MixtureUpdate {
            estimate,
            meaning: Meaning {
                step: weights[1],
                broken: weights[2],
                outlying: weights[3],
            },
            gain: over(&|i| cases[i].0.error_variance / variances[i]),
            drift_gain: over(&|i| cases[i].0.covariance / variances[i]),
            precision: over(&|i| 1.0 / variances[i]),
            log_likelihood,
        }
    }
}

/// Weights of the meanings that are carried on, and the log likelihood of the reading, from what
/// is believed of each meaning before and the variance of the innovation `off` by each.
fn weighed(prior: [f64; 4], variances: [f64; 4], off: f64) -> ([f64; 4], f64) {
    let logs: [f64; 4] = std::array::from_fn(|i| {
        let square = off * off / variances[i];
        let size = match i {
            0 => 0.0,
            _ => (square * square / 3.0).ln(),
        };
        prior[i].ln() + size - 0.5 * (variances[i].ln() + square)
    });
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weights = match most.is_finite() {
        true => logs.map(|log| (log - most).exp()),
        // Beyond what can be computed: the level starts anew.
        false => [0.0, 1.0, 0.0, 0.0],
    };
    let sum: f64 = weights.iter().sum();
    (carried(weights.map(|weight| weight / sum)), most + sum.ln())
}

/// Variance that a step or an outlying reading adds to `other` variance, and the weight
/// left to it, for a reading `off` from the expected error.
///
/// Steps and slips of the pen know no size: beyond `reach`, a squared distance in
/// variances, the variance is stretched to the reading and the weight falls by as much,
/// which gives the size a tail like that of Student's t with two degrees of freedom. So the
/// wildest reading costs its class a surprise, never its wander, scatter or drift.
fn stretched(variance: f64, other: f64, off: f64, reach: f64) -> (f64, f64) {
    let whole = (variance + other).max(LEAST_VARIANCE);
    let stretch = (off * off / (reach * whole)).max(1.0);
    (variance + (stretch - 1.0) * whole, 1.0 / stretch)
}

/// True where `next` is back at what was `expected` before a reading that fell `off` from it:
/// not the level went away and came back, that reading was outlying.
pub(crate) fn takes_back(next: f64, expected: f64, off: f64) -> bool {
    (next - expected).abs() < TAKEN_BACK * off.abs()
}

/// Weights with which the meanings are carried on. Those hardly believed are left behind:
/// they cannot move a 95 % band, yet a variance would count their distance in full.
fn carried(weights: [f64; 4]) -> [f64; 4] {
    let kept = |weight: f64| weight * weight * (1.0 + HARDLY_BELIEVED) / (weight + HARDLY_BELIEVED);
    let [chance, surprises @ ..] = weights;
    let [step, broken, outlying] = surprises.map(kept);
    let sum = chance + step + broken + outlying;
    [chance, step, broken, outlying].map(|weight| weight / sum)
}

#[cfg(test)]
#[path = "surprise_tests.rs"]
mod tests;
