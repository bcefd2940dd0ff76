/*! What the stated u of its readings alone leaves unknown of an item: the floor under a band
that narrows with the item's own scatter.

The error of a filtered belief is a sum: readings' errors carried along by the gains, and what
the item did meanwhile. The gains are those of the filter, so the covariance of the first
part follows from P. D. Joseph's form of the update, `P ← (1 − KH)·P·(1 − KH)ᵀ + K·r·Kᵀ`
(R. S. Bucy and P. D. Joseph, *Filtering for stochastic processes with applications to
guidance*, 1968), with r the variance that is stated and no other.
*/

use super::passed::Passed;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::class::rates::NODES;
use crate::drift::class::rates::Rates;
use crate::drift::series::join::Join;
use crate::drift::state::estimate::Belief;

/// The same of every belief that a filter carries.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct ReadingParts([ReadingPart; NODES]);

impl ReadingParts {
    /// After a reading of this value, so long after the last, that took the beliefs from
    /// `before` to `now`; `own` is its stated variance by the rates of a node.
    pub fn learn(
        &mut self,
        (before, now): (&[Belief; NODES], &[Belief; NODES]),
        (value, time, join): (f64, f64, Join),
        class: &ClassParameters,
        own: impl Fn(&Rates) -> f64,
    ) {
        for (i, (part, node)) in self.0.iter_mut().zip(&class.nodes).enumerate() {
            let stated = own(&node.rates);
            let later = part.after(time, &node.rates);
            *part = match join {
                Join::NewDrift => ReadingPart::first(stated),
                Join::NewLevel => later.restarted(stated),
                Join::Continues => {
                    let expected = before[i].after(time, &node.rates);
                    later.given(&expected, &now[i], value - expected.error, stated)
                }
            };
        }
    }

    /// An event set the level `time` after the last reading, and nobody read it: the readings
    /// before tell nothing more of it, and of the drift only where that was kept.
    pub fn leave(&mut self, time: f64, new_drift: bool, class: &ClassParameters) {
        for (part, node) in self.0.iter_mut().zip(&class.nodes) {
            *part = match new_drift {
                true => ReadingPart::default(),
                false => part.after(time, &node.rates).restarted(0.0),
            };
        }
    }

    /// Adds `share` of their mean to what is not known.
    pub fn add_to(&self, belief: &mut Belief, class: &ClassParameters, share: f64) {
        for (part, node) in self.0.iter().zip(&class.nodes) {
            part.add_to(belief, share * node.weight);
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
    fn first(stated: f64) -> Self {
        Self {
            error: stated,
            ..Self::default()
        }
    }

    /// The level starts anew.
    fn restarted(self, stated: f64) -> Self {
        Self {
            drift: self.drift,
            ..Self::first(stated)
        }
    }

    /// `time` later.
    fn after(self, time: f64, rates: &Rates) -> Self {
        let Passed { reach, left, .. } = Passed::of(time, rates.damping);
        Self {
            error: self.error + reach * (2.0 * self.both + reach * self.drift),
            both: left * (self.both + reach * self.drift),
            drift: left * left * self.drift,
        }
    }

    /// After a reading of variance `stated` that fell `off` from what was `expected` and moved
    /// the belief to `now`.
    fn given(self, expected: &Belief, now: &Belief, off: f64, stated: f64) -> Self {
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
    fn add_to(&self, belief: &mut Belief, share: f64) {
        belief.error_variance += share * self.error;
        belief.covariance += share * self.both;
        belief.drift_variance += share * self.drift;
    }
}
