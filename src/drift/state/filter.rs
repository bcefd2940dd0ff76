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

use super::innovation::Next;
use super::reading_part::ReadingParts;
use super::recent_scatter::Recent;
use super::surprise::Meaning;
use crate::drift::class::own_scatter::{Scatter, square_of};
use crate::drift::class::parameters::ClassParameters;
use crate::drift::class::rates::QUADRATURE_POINTS;
use crate::drift::class::rates::Rates;
use crate::drift::class::shared_u::kept_by;
use crate::drift::series::join::Join;
use crate::drift::series::next_u::Latest;
use crate::drift::series::readings::{Reading, Unread};
use crate::drift::state::estimate::LEAST_VARIANCE;
use crate::drift::state::estimate::StateEstimate;
use crate::drift::state::forecast::StateForecast;
use crate::drift::state::innovation::Innovation;

/// The filter of one history, fed one reading at a time: walking forward costs O(n).
#[derive(Debug, Clone)]
pub(crate) struct StateFilter<'a> {
    class: &'a ClassParameters,
    scale: f64,
    estimates: [StateEstimate; QUADRATURE_POINTS],
    last: Option<Reading>,
    /// Variances of the latest readings: what the next one's will be.
    latest: Latest,
    own: Scatter,
    recent: Recent,
    /// What the readings' own u alone leaves unknown, where members scatter unlike.
    by_readings: ReadingParts,
    /// Share of the class's own variance of a reading that is left to this item; beyond 1 where
    /// none of the stated one is shared.
    kept: f64,
}

impl<'a> StateFilter<'a> {
    /// A filter that has seen nothing yet; `scale` is [`ClassParameters::scale_of`] the item.
    pub(crate) fn new(class: &'a ClassParameters, scale: f64) -> Self {
        Self {
            class,
            scale,
            by_readings: ReadingParts::default(),
            kept: 1.0,
            estimates: [StateEstimate::default(); QUADRATURE_POINTS],
            last: None,
            latest: Latest::default(),
            own: Scatter::default(),
            recent: Recent::default(),
        }
    }

    /// A filter for the item with these `readings`, of which it has seen none yet: where they
    /// scatter far less than their u says, u is shared by all of them.
    pub(crate) fn of(readings: &[Reading], class: &'a ClassParameters, scale: f64) -> Self {
        Self {
            kept: kept_by(readings, class),
            ..Self::new(class, scale)
        }
    }

    /// Share of the class's own variance of a reading that is left to this item.
    pub(crate) fn kept(&self) -> f64 {
        self.kept
    }

    /// Standard uncertainty that all checks share by the scatter of their readings.
    pub(crate) fn shared_u(&self) -> f64 {
        self.forecast().map_or(0.0, |forecast| forecast.u_common)
    }

    /// Takes the next reading; `None` where it opens a segment with a level of its own and so
    /// tests nothing.
    pub(crate) fn push(&mut self, reading: &Reading) -> Option<Innovation> {
        let noise = self.kept * self.class.noise_of(reading.u, self.scale);
        self.latest.add(noise);
        self.pass_unread_event(reading);
        let before = self.class.own_scatter.differs().then_some(self.estimates);
        let next = Next {
            value: reading.value / self.scale,
            noise,
            time: self.last.map_or(0.0, |last| {
                ((reading.x - last.x) / self.class.pace).max(0.0)
            }),
            join: Join::of(self.last.as_ref(), reading),
        };
        let innovation = self.take(&next).map(|found| match reading.unread_since {
            Some(_) => Innovation {
                meaning: Meaning::default(),
                opens: true,
                ..found
            },
            None => found,
        });
        if let Some(before) = before {
            let own = |rates: &Rates| match reading.u.is_nan() {
                true => 0.0,
                false => rates.own_part(noise),
            };
            self.by_readings
                .update(&before, &self.estimates, &next, self.class, own);
        }
        self.last = Some(*reading);
        innovation
    }

    /// Where an event before `reading` left a level that nobody read: what is known since then.
    fn pass_unread_event(&mut self, reading: &Reading) {
        let Some(x) = reading.unread_since else {
            return;
        };
        let other = |last: Reading| last.drift_segment != reading.drift_segment;
        let new_drift = self.last.is_none_or(other);
        self.leave(&Unread { x, new_drift });
        self.last = self.last.map(|left| Reading {
            segment: reading.segment,
            drift_segment: reading.drift_segment,
            ..left
        });
    }

    /// Predicts every estimate to the next reading, and updates it or starts it anew.
    fn take(&mut self, next: &Next) -> Option<Innovation> {
        let Next {
            value, noise, time, ..
        } = *next;
        let rates = self
            .class
            .quadrature_points
            .iter()
            .map(|point| &point.rates);
        for (estimate, rates) in self.estimates.iter_mut().zip(rates) {
            *estimate = match next.join {
                Join::NewDrift => StateEstimate::initial(value, rates.noise(noise), rates),
                Join::NewLevel => estimate
                    .predicted(time, rates)
                    .with_new_level(value, rates.noise(noise)),
                Join::Continues => estimate.predicted(time, rates),
            };
        }
        (next.join == Join::Continues).then(|| self.update(value, noise, time))
    }

    /// Updates every estimate by a reading `time` after the last.
    fn update(&mut self, value: f64, noise: f64, time: f64) -> Innovation {
        let (mean, variance) = self.expected();
        let recent = self.recent_scatter();
        let of_reading = self.mean_rate(|rates| rates.noise(noise));
        let lately = self.mean_rate(|rates| rates.noise_lately(noise, recent));
        let spread = (variance + lately).max(LEAST_VARIANCE);
        self.count(square_of(value - mean, spread), lately / of_reading);
        let mut meaning = Meaning::default();
        for (estimate, point) in self.estimates.iter_mut().zip(&self.class.quadrature_points) {
            let (off, noise) = (
                value - estimate.error,
                point.rates.noise_lately(noise, recent),
            );
            let (after, own) = self.class.surprises.update(estimate, off, noise, time);
            *estimate = after;
            meaning.step += point.weight * own.step;
            meaning.broken += point.weight * own.broken;
            meaning.outlying += point.weight * own.outlying;
        }
        Innovation {
            value: (value - mean) * self.scale,
            variance: spread * self.scale * self.scale,
            meaning,
            opens: false,
        }
    }

    /// An event set the level, and nobody read it: it is where items of the class are left.
    pub(crate) fn leave(&mut self, unread: &Unread) {
        let left = self.class.left;
        let kept = self.last.filter(|_| !unread.new_drift);
        let time = kept.map_or(0.0, |last| ((unread.x - last.x) / self.class.pace).max(0.0));
        for (estimate, point) in self.estimates.iter_mut().zip(&self.class.quadrature_points) {
            *estimate = match kept {
                Some(_) => estimate
                    .predicted(time, &point.rates)
                    .with_new_level(left.mean, left.variance),
                None => StateEstimate::initial(left.mean, left.variance, &point.rates),
            };
        }
        self.by_readings.leave(time, kept.is_none(), self.class);
        let none = Reading {
            u: f64::NAN,
            ..Reading::default()
        };
        self.last = Some(Reading {
            x: unread.x,
            ..self.last.unwrap_or(none)
        });
    }

    /// The record ends: with an event whose value left was not kept, or with a reading after
    /// which an adjustment may be missing in the record.
    pub(crate) fn end(&mut self, unread: Option<Unread>) {
        if let Some(unread) = &unread {
            return self.leave(unread);
        }
        let (Some(missing), Some(last)) = (self.class.missing, self.last) else {
            return;
        };
        let adjusted = missing.adjusted_after(last.value / self.scale);
        if adjusted > 0.0 {
            let left = self.class.left;
            for estimate in &mut self.estimates {
                *estimate =
                    estimate.mixed(&estimate.with_new_level(left.mean, left.variance), adjusted);
            }
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
    pub(crate) fn recent_scatter(&self) -> f64 {
        self.class.recent_scatter.lately(&self.recent).0
    }

    /// Scale of the item's own scatter, of variances, and its degrees of freedom.
    pub(crate) fn own_scatter(&self) -> (f64, f64) {
        let (scale, own) = self.class.own_scatter.of_member(&self.own);
        let (_, recent) = self.class.recent_scatter.lately(&self.recent);
        (scale, 1.0 / (1.0 / own + 1.0 / recent))
    }

    /// Mean of what follows from the rates, over all quadrature points.
    fn mean_rate(&self, of: impl Fn(&Rates) -> f64) -> f64 {
        let quadrature_points = self.class.quadrature_points.iter();
        quadrature_points
            .map(|point| point.weight * of(&point.rates))
            .sum()
    }

    /// Mean and variance of the error, over all quadrature points.
    fn expected(&self) -> (f64, f64) {
        let (mut mean, mut variance) = (0.0, 0.0);
        for (estimate, point) in self.estimates.iter().zip(&self.class.quadrature_points) {
            mean += point.weight * estimate.error;
        }
        for (estimate, point) in self.estimates.iter().zip(&self.class.quadrature_points) {
            let off = estimate.error - mean;
            variance += point.weight * (estimate.error_variance + off * off);
        }
        (mean, variance)
    }

    /// Mean and covariance of level and drift, over all quadrature points.
    fn mixture(&self) -> StateEstimate {
        let mut whole = StateEstimate::default();
        for (estimate, point) in self.estimates.iter().zip(&self.class.quadrature_points) {
            whole.error += point.weight * estimate.error;
            whole.drift += point.weight * estimate.drift;
        }
        for (estimate, point) in self.estimates.iter().zip(&self.class.quadrature_points) {
            let (off, turn) = (estimate.error - whole.error, estimate.drift - whole.drift);
            whole.error_variance += point.weight * (estimate.error_variance + off * off);
            whole.covariance += point.weight * (estimate.covariance + off * turn);
            whole.drift_variance += point.weight * (estimate.drift_variance + turn * turn);
        }
        whole
    }

    /// Scale of the variance of the level, by the item's own scatter.
    pub(crate) fn scale_of_level(&self) -> f64 {
        let (whole, own) = (self.mixture(), self.own_scatter().0);
        if own >= 1.0 || whole.error_variance <= 0.0 {
            return own;
        }
        self.scaled(&whole, own).error_variance / whole.error_variance
    }

    /// What is not known, where the item scatters by `own` times the variance of its class. What
    /// the stated u of its readings leaves unknown does not get less with it.
    fn scaled(&self, whole: &StateEstimate, own: f64) -> StateEstimate {
        let mut scaled = StateEstimate {
            error_variance: own * whole.error_variance,
            covariance: own * whole.covariance,
            drift_variance: own * whole.drift_variance,
            ..*whole
        };
        if own < 1.0 {
            self.by_readings.add_to(&mut scaled, self.class, 1.0 - own);
        }
        scaled
    }

    /// Forecast from the last reading on; `None` before the first.
    pub(crate) fn forecast(&self) -> Option<StateForecast> {
        let last = self.last?;
        let whole = self.mixture();
        let wander = self.mean_rate(|rates| rates.wander);
        let turning = self.mean_rate(|rates| rates.turning);
        let excess = self.mean_rate(|rates| rates.excess);
        let (scale, pace) = (self.scale, self.class.pace);
        let (own, degrees_of_freedom) = self.own_scatter();
        let lately = own * self.recent_scatter();
        let stated = self.class.noise_of(last.u, scale);
        // Point by point, so that nothing shared is nothing and no remainder of rounding.
        let shared = match self.kept > 1.0 {
            true => 0.0,
            false => self.mean_rate(|rates| stated - rates.own_part(self.kept * stated)),
        };
        let of_reading = self.mean_rate(|rates| rates.noise_lately(self.latest.mean(), lately));
        let (unit, square) = (scale * scale, own * scale * scale);
        let estimate = self.scaled(&whole, own);
        Some(StateForecast {
            origin: last.x,
            estimate: StateEstimate {
                error: estimate.error * scale,
                drift: estimate.drift * scale / pace,
                error_variance: estimate.error_variance * unit,
                covariance: estimate.covariance * unit / pace,
                drift_variance: estimate.drift_variance * unit / (pace * pace),
            },
            rates: Rates {
                drift: 0.0,
                drift_variance: 0.0,
                wander: wander * square / pace,
                turning: turning * square / (pace * pace * pace),
                excess: excess * square,
                common: 0.0,
                damping: self.class.rates.damping / pace,
            },
            noise: of_reading * self.class.surprises.spread() * unit,
            step_rate: self.class.surprises.step_rate / pace,
            step_time: self.class.surprises.step_years * pace,
            most_steps: self.class.most_steps / pace,
            u_common: (shared * unit).max(0.0).sqrt(),
            degrees_of_freedom,
        })
    }
}

#[cfg(test)]
#[path = "state_tests.rs"]
mod tests;
