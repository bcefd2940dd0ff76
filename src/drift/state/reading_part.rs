/*! What the stated u of its readings alone leaves unknown of an item: the floor under a band
that narrows with the item's own scatter.

The error of a filtered estimate is a sum: readings' errors carried along by the gains, and what
the item did meanwhile. The gains are those of the filter, so the covariance of the first
part follows from P. D. Joseph's form of the update, `P ← (1 − KH)·P·(1 − KH)ᵀ + K·r·Kᵀ`
(R. S. Bucy and P. D. Joseph, *Filtering for stochastic processes with applications to
guidance*, 1968), with r the variance that is stated and no other.
*/

use super::innovation::Next;
use super::transition::Transition;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::class::rates::QUADRATURE_POINTS;
use crate::drift::class::rates::Rates;
use crate::drift::series::join::Join;
use crate::drift::state::estimate::StateEstimate;

/// The same of every estimate that a filter carries.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct ReadingParts([ReadingPart; QUADRATURE_POINTS]);

impl ReadingParts {
    /// After the `next` reading took the estimates from `before` to `now`; `own` is its stated
    /// variance by the rates of a quadrature point.
    pub(crate) fn update(
        &mut self,
        before: &[StateEstimate; QUADRATURE_POINTS],
        now: &[StateEstimate; QUADRATURE_POINTS],
        next: &Next,
        class: &ClassParameters,
        own: impl Fn(&Rates) -> f64,
    ) {
        let Next {
            value, time, join, ..
        } = *next;
        for (i, (part, point)) in self.0.iter_mut().zip(&class.quadrature_points).enumerate() {
            let stated = own(&point.rates);
            let later = part.predicted(time, &point.rates);
            *part = match join {
                Join::NewDrift => ReadingPart::initial(stated),
                Join::NewLevel => later.with_new_level(stated),
                Join::Continues => {
                    let expected = before[i].predicted(time, &point.rates);
                    later.updated(&expected, &now[i], value - expected.error, stated)
                }
            };
        }
    }

    /// An event set the level `time` after the last reading, and nobody read it: the readings
    /// before tell nothing more of it, and of the drift only where that was kept.
    pub(crate) fn leave(&mut self, time: f64, new_drift: bool, class: &ClassParameters) {
        for (part, point) in self.0.iter_mut().zip(&class.quadrature_points) {
            *part = match new_drift {
                true => ReadingPart::default(),
                false => part.predicted(time, &point.rates).with_new_level(0.0),
            };
        }
    }

    /// Adds `share` of their mean to what is not known.
    pub(crate) fn add_to(&self, estimate: &mut StateEstimate, class: &ClassParameters, share: f64) {
        for (part, point) in self.0.iter().zip(&class.quadrature_points) {
            part.add_to(estimate, share * point.weight);
        }
    }
}

/// Covariance of level and drift by the readings' stated u, in units of the class.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct ReadingPart {
    error: f64,
    both: f64,
    drift: f64,
}

impl ReadingPart {
    /// After the first reading of an item, whose variance is `stated`.
    fn initial(stated: f64) -> Self {
        Self {
            error: stated,
            ..Self::default()
        }
    }

    /// The level starts anew.
    fn with_new_level(self, stated: f64) -> Self {
        Self {
            drift: self.drift,
            ..Self::initial(stated)
        }
    }

    /// `time` later.
    fn predicted(self, time: f64, rates: &Rates) -> Self {
        let Transition { reach, left, .. } = Transition::of(time, rates.damping);
        Self {
            error: self.error + reach * (2.0 * self.both + reach * self.drift),
            both: left * (self.both + reach * self.drift),
            drift: left * left * self.drift,
        }
    }

    /// After a reading of variance `stated` that fell `off` from what was `expected` and moved
    /// the belief to `now`.
    fn updated(self, expected: &StateEstimate, now: &StateEstimate, off: f64, stated: f64) -> Self {
        if off == 0.0 {
            return self;
        }
        let gain = (now.error - expected.error) / off;
        let drift_gain = (now.drift - expected.drift) / off;
        let rest = 1.0 - gain;
        Self {
            error: rest * rest * self.error + gain * gain * stated,
            both: rest * (self.both - drift_gain * self.error) + gain * drift_gain * stated,
            drift: self.drift - 2.0 * drift_gain * self.both
                + drift_gain * drift_gain * (self.error + stated),
        }
    }

    /// Adds `share` of it to what is not known.
    fn add_to(&self, estimate: &mut StateEstimate, share: f64) {
        estimate.error_variance += share * self.error;
        estimate.covariance += share * self.both;
        estimate.drift_variance += share * self.drift;
    }
}
