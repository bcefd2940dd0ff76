/*! The state model of one history: level and drift by a Kalman filter at irregular dates.

State: true error *e* and drift *b* of the current segment. Between readings the error
wanders (variance σ² a year) and the drift turns (variance *q* a year):

```text
e ← e + b·t            P_ee ← P_ee + 2t·P_eb + t²·P_bb + σ²·t + q·t³/3
b ← b                  P_eb ← P_eb + t·P_bb + q·t²/2        P_bb ← P_bb + q·t
```

A reading updates both (R. E. Kalman, *A new approach to linear filtering and prediction
problems*, 1960; the continuous-time noise is that of an integrated random walk). The
class lends the drift's distribution and the rates. Because a small class knows its own
parameters badly, the filter carries several sets of them, each with its weight; the
forecast has the mean and the variance of that mixture, which keep the form above.

Inside, values are in units of the class's scale and times in its pace; what goes in and
comes out is in the history's unit and on its own axis.
*/

use super::classes::{ClassParameters, Rates};
use super::next_u::Latest;
use super::own_scatter::{Scatter, square_of};
use super::passed::Passed;
use super::recent_scatter::Recent;
use super::surprise::Meaning;
use super::{Prediction, Reading};

/// Sets of class parameters a filter carries.
pub const NODES: usize = 9;

/// Smallest variance of a forecast error, in squares of the scale: keeps exact repeats
/// (u = 0, same date) from dividing by zero.
pub(super) const LEAST_VARIANCE: f64 = 1e-18;

/// Level and drift with their covariance, in units of the class.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Belief {
    /// Expected true error.
    pub error: f64,
    /// Expected drift.
    pub drift: f64,
    /// Variance of the error.
    pub error_variance: f64,
    /// Covariance of error and drift.
    pub covariance: f64,
    /// Variance of the drift.
    pub drift_variance: f64,
}

impl Belief {
    /// What is believed after the first reading of an item of the class.
    pub fn first(value: f64, noise: f64, rates: &Rates) -> Self {
        Self {
            error: value,
            drift: rates.drift,
            error_variance: noise,
            covariance: 0.0,
            drift_variance: rates.drift_variance,
        }
    }

    /// What is believed `time` later.
    pub fn after(self, time: f64, rates: &Rates) -> Self {
        let passed = Passed::of(time, rates.damping);
        let (reach, left) = (passed.reach, passed.left);
        Self {
            error: self.error + reach * self.drift,
            drift: left * self.drift,
            error_variance: self.error_variance
                + reach * (2.0 * self.covariance + reach * self.drift_variance)
                + rates.wander * time
                + rates.turning * passed.error,
            covariance: left * (self.covariance + reach * self.drift_variance)
                + rates.turning * passed.both,
            drift_variance: left * left * self.drift_variance + rates.turning * passed.drift,
        }
    }

    /// What is believed once a reading of variance `noise` fell `innovation` from the
    /// expected error.
    pub fn given(self, innovation: f64, noise: f64) -> Self {
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
    pub fn restarted(self, value: f64, noise: f64) -> Self {
        Self {
            error: value,
            error_variance: noise,
            covariance: 0.0,
            ..self
        }
    }
}

/// How far a reading fell from what was expected just before it, in the history's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Innovation {
    /// Reading minus expected error.
    pub value: f64,
    /// Variance of that difference.
    pub variance: f64,
    /// What the difference means, as far as this reading tells.
    pub meaning: Meaning,
}

/// The filter of one history, fed one reading at a time: walking forward costs O(n).
#[derive(Debug, Clone)]
pub struct StateFilter<'a> {
    class: &'a ClassParameters,
    scale: f64,
    beliefs: [Belief; NODES],
    last: Option<Reading>,
    /// Variances of the latest readings: what the next one's will be.
    latest: Latest,
    own: Scatter,
    recent: Recent,
}

impl<'a> StateFilter<'a> {
    /// A filter that has seen nothing yet; `scale` is [`ClassParameters::scale_of`] the item.
    pub fn new(class: &'a ClassParameters, scale: f64) -> Self {
        Self {
            class,
            scale,
            beliefs: [Belief::default(); NODES],
            last: None,
            latest: Latest::default(),
            own: Scatter::default(),
            recent: Recent::default(),
        }
    }

    /// Takes the next reading; `None` where it opens a segment and so tests nothing.
    pub fn push(&mut self, reading: &Reading) -> Option<Innovation> {
        let value = reading.value / self.scale;
        let noise = self.class.noise_of(reading.u, self.scale);
        self.latest.add(noise);
        let time = |last: &Reading| ((reading.x - last.x) / self.class.pace).max(0.0);
        let mut innovation = None;
        match self.last {
            Some(last) if last.drift_segment == reading.drift_segment => {
                let time = time(&last);
                for (belief, node) in self.beliefs.iter_mut().zip(&self.class.nodes) {
                    *belief = belief.after(time, &node.rates);
                }
                if last.segment == reading.segment {
                    innovation = Some(self.learn(value, noise, time));
                } else {
                    self.restart(value, noise);
                }
            }
            _ => {
                for (belief, node) in self.beliefs.iter_mut().zip(&self.class.nodes) {
                    *belief = Belief::first(value, noise + node.rates.excess, &node.rates);
                }
            }
        }
        self.last = Some(*reading);
        innovation
    }

    /// Updates every belief by a reading `time` after the last.
    fn learn(&mut self, value: f64, noise: f64, time: f64) -> Innovation {
        let (mean, variance, excess) = self.expected();
        let recent = self.recent_scatter();
        let spread = (variance + recent * (noise + excess)).max(LEAST_VARIANCE);
        self.count(square_of(value - mean, spread), recent);
        let mut meaning = Meaning::default();
        for (belief, node) in self.beliefs.iter_mut().zip(&self.class.nodes) {
            let (off, noise) = (value - belief.error, recent * (noise + node.rates.excess));
            let (after, own) = self.class.surprises.learn(belief, off, noise, time);
            *belief = after;
            meaning.step += node.weight * own.step;
            meaning.broken += node.weight * own.broken;
            meaning.outlying += node.weight * own.outlying;
        }
        Innovation {
            value: (value - mean) * self.scale,
            variance: spread * self.scale * self.scale,
            meaning,
        }
    }

    /// Counts a squared innovation, in its variance, to the item's own scatter and the recent one.
    fn count(&mut self, square: f64, recent: f64) {
        self.own.add(square);
        if self.class.recent_scatter.changes() {
            let (own, _) = self.own_scatter();
            let whole = recent * square / own;
            self.recent.add(whole, &self.class.recent_scatter);
        }
    }

    /// Scale of the variances of readings lately, where the scatter of the class changes.
    pub(super) fn recent_scatter(&self) -> f64 {
        self.class.recent_scatter.lately(&self.recent).0
    }

    /// Scale of the item's own scatter, of variances, and its degrees of freedom.
    pub(super) fn own_scatter(&self) -> (f64, f64) {
        let (scale, own) = self.class.own_scatter.of_member(&self.own);
        let (_, recent) = self.class.recent_scatter.lately(&self.recent);
        (scale, 1.0 / (1.0 / own + 1.0 / recent))
    }

    fn restart(&mut self, value: f64, noise: f64) {
        for (belief, node) in self.beliefs.iter_mut().zip(&self.class.nodes) {
            *belief = belief.restarted(value, noise + node.rates.excess);
        }
    }

    /// Mean and variance of the error and the mean excess variance, over all nodes.
    fn expected(&self) -> (f64, f64, f64) {
        let (mut mean, mut variance, mut excess) = (0.0, 0.0, 0.0);
        for (belief, node) in self.beliefs.iter().zip(&self.class.nodes) {
            mean += node.weight * belief.error;
            excess += node.weight * node.rates.excess;
        }
        for (belief, node) in self.beliefs.iter().zip(&self.class.nodes) {
            let off = belief.error - mean;
            variance += node.weight * (belief.error_variance + off * off);
        }
        (mean, variance, excess)
    }

    /// Forecast from the last reading on; `None` before the first.
    pub fn forecast(&self) -> Option<StateForecast> {
        let last = self.last?;
        let (mut error, mut drift) = (0.0, 0.0);
        for (belief, node) in self.beliefs.iter().zip(&self.class.nodes) {
            error += node.weight * belief.error;
            drift += node.weight * belief.drift;
        }
        let (mut sum, mut wander, mut turning, mut excess) = (Belief::default(), 0.0, 0.0, 0.0);
        for (belief, node) in self.beliefs.iter().zip(&self.class.nodes) {
            let (off, turn) = (belief.error - error, belief.drift - drift);
            sum.error_variance += node.weight * (belief.error_variance + off * off);
            sum.covariance += node.weight * (belief.covariance + off * turn);
            sum.drift_variance += node.weight * (belief.drift_variance + turn * turn);
            wander += node.weight * node.rates.wander;
            turning += node.weight * node.rates.turning;
            excess += node.weight * node.rates.excess;
        }
        let (scale, pace) = (self.scale, self.class.pace);
        let (own, degrees_of_freedom) = self.own_scatter();
        let recent = self.recent_scatter();
        let stated = self.latest.mean() * (own * recent).max(1.0);
        let (unit, square) = (scale * scale, own * scale * scale);
        Some(StateForecast {
            origin: last.x,
            belief: Belief {
                error: error * scale,
                drift: drift * scale / pace,
                error_variance: sum.error_variance * square,
                covariance: sum.covariance * square / pace,
                drift_variance: sum.drift_variance * square / (pace * pace),
            },
            rates: Rates {
                drift: 0.0,
                drift_variance: 0.0,
                wander: wander * square / pace,
                turning: turning * square / (pace * pace * pace),
                excess: excess * square,
                damping: self.class.rates.damping / pace,
            },
            noise: (stated + excess * own * recent) * self.class.surprises.spread() * unit,
            step_rate: self.class.surprises.step_rate / pace,
            u_common: 0.0,
            degrees_of_freedom,
        })
    }
}

/// What predicts a history under the state model: plain numbers in the history's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StateForecast {
    /// x of the last reading.
    pub origin: f64,
    /// Level and drift at the origin.
    pub belief: Belief,
    /// Wander and turning from the origin on.
    pub rates: Rates,
    /// Variance of the next reading about the true error.
    pub noise: f64,
    /// Sudden steps per unit of x.
    pub step_rate: f64,
    /// Shared standard uncertainty of the reference; part of `u_error` only.
    pub u_common: f64,
    /// Degrees of freedom of forecasts; infinite where members of the class are alike.
    pub degrees_of_freedom: f64,
}

impl StateForecast {
    /// Forecast at `x`; before the last reading the level there is carried back by the
    /// drift with the same growth of uncertainty (the smoother knows better).
    pub fn at(&self, x: f64) -> Prediction {
        let ahead = x - self.origin;
        let time = ahead.abs();
        let mut start = self.belief;
        if ahead < 0.0 {
            start.drift = -start.drift;
            start.covariance = -start.covariance;
        }
        let later = start.after(time, &self.rates);
        let variance = later.error_variance.max(0.0);
        Prediction {
            expected: later.error,
            u_error: (variance + self.u_common * self.u_common).sqrt(),
            u_reading: (variance + self.noise).sqrt(),
            degrees_of_freedom: self.degrees_of_freedom,
            no_step: (-self.step_rate * ahead.max(0.0)).exp(),
        }
    }
}

#[cfg(test)]
#[path = "state_tests.rs"]
mod tests;
