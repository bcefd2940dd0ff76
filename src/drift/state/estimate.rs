/*! Level and drift as they are known at one moment, and how time and readings change that. */

use super::transition::Transition;
use crate::drift::class::rates::Rates;

/// Smallest variance of a forecast error, in squares of the scale: keeps exact repeats
/// (u = 0, same date) from dividing by zero.
pub(crate) const LEAST_VARIANCE: f64 = 1e-18;

/// Level and drift with their covariance, in units of the class.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct StateEstimate {
    /// Expected true error.
    pub error: f64,
    /// Expected drift.
    pub drift: f64,
    pub error_variance: f64,
    /// Covariance of error and drift.
    pub covariance: f64,
    pub drift_variance: f64,
}

impl StateEstimate {
    /// What is believed after the first reading of an item of the class.
    pub(crate) fn initial(value: f64, noise: f64, rates: &Rates) -> Self {
        Self {
            error: value,
            drift: rates.drift,
            error_variance: noise,
            covariance: 0.0,
            drift_variance: rates.drift_variance,
        }
    }

    /// What is believed `time` later.
    pub(crate) fn predicted(self, time: f64, rates: &Rates) -> Self {
        let transition = Transition::of(time, rates.damping);
        let (reach, left) = (transition.reach, transition.left);
        Self {
            error: self.error + reach * self.drift,
            drift: left * self.drift,
            error_variance: self.error_variance
                + reach * (2.0 * self.covariance + reach * self.drift_variance)
                + rates.wander * time
                + rates.turning * transition.error,
            covariance: left * (self.covariance + reach * self.drift_variance)
                + rates.turning * transition.both,
            drift_variance: left * left * self.drift_variance + rates.turning * transition.drift,
        }
    }

    /// What is believed once a reading of variance `noise` fell `innovation` from the
    /// expected error.
    pub(crate) fn updated(self, innovation: f64, noise: f64) -> Self {
        let variance = (self.error_variance + noise).max(LEAST_VARIANCE);
        let (gain, drift_gain) = (self.error_variance / variance, self.covariance / variance);
        Self {
            error: self.error + gain * innovation,
            drift: self.drift + drift_gain * innovation,
            error_variance: (self.error_variance - gain * self.error_variance).max(0.0),
            covariance: self.covariance - gain * self.covariance,
            drift_variance: (self.drift_variance - drift_gain * self.covariance).max(0.0),
        }
    }

    /// The level starts anew from a reading; the drift is kept.
    pub(crate) fn with_new_level(self, value: f64, noise: f64) -> Self {
        Self {
            error: value,
            error_variance: noise,
            covariance: 0.0,
            ..self
        }
    }

    /// Mean and variance of the mixture in which `other`, of the same drift, has this share.
    pub(super) fn mixed(self, other: &Self, share: f64) -> Self {
        let own = 1.0 - share;
        let apart = other.error - self.error;
        Self {
            error: self.error + share * apart,
            error_variance: own * self.error_variance
                + share * other.error_variance
                + own * share * apart * apart,
            covariance: own * self.covariance + share * other.covariance,
            ..self
        }
    }
}
