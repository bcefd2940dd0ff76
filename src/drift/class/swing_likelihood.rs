/*! Marginal likelihood of a class whose members swing with the year, each by its own cosine and
sine: one pass of Kalman filters over its readings, for several sets of rates at once.

As [`super::likelihood`], with cosine and sine of the member as two more states, drawn from
N(0, a²·1) and constant while it lives. So what swings is integrated out exactly, and a reading is
judged for a surprise by what is known of the swing by then. A reading that surprises is weighed
as there; after it the level starts anew where a step or break is believed, and else the reading
counts for as little as it then tells.
*/

use super::likelihood::Pass;
use super::sample::Datum;
use super::sample_swing::Phase;
use crate::drift::class::rates::Rates;
use crate::drift::series::join::Join;
use crate::drift::state::estimate::{LEAST_VARIANCE, StateEstimate};
use crate::drift::state::surprise::{QUIET, Surprises};
use crate::drift::state::transition::Transition;
use nalgebra::{Matrix4, Vector4};

/// Places of the states.
const ERROR: usize = 0;
const DRIFT: usize = 1;
const COSINE: usize = 2;
const SINE: usize = 3;

/// One filter of a member, and what it has found so far.
#[derive(Debug, Clone, Copy)]
struct Lane {
    mean: Vector4<f64>,
    /// How the mean moves with the class's mean drift.
    sense: Vector4<f64>,
    covariance: Matrix4<f64>,
    found: Pass,
}

/// One pass for `L` sets of rates and variances a² of the swing; `at_datum` is told what was found
/// before each datum.
pub(crate) fn pass_with_swing<const L: usize>(
    data: &[Datum],
    phases: &[Phase],
    transitions: &[Transition],
    rates: &[Rates; L],
    swing: &[f64; L],
    surprises: &Surprises,
    mut at_datum: impl FnMut(&[Pass; L]),
) -> [Pass; L] {
    let mut lanes = [Lane::default(); L];
    for (i, (datum, phase)) in data.iter().zip(phases).enumerate() {
        at_datum(&lanes.map(|lane| lane.found));
        let transition = match transitions.get(i) {
            Some(known) => *known,
            None => Transition::of(datum.time, 0.0),
        };
        for ((lane, rates), swing) in lanes.iter_mut().zip(rates).zip(swing) {
            if phase.begins {
                lane.swing_anew(*swing);
            }
            match datum.join {
                Join::NewDrift => lane.begin(datum, phase, rates),
                Join::NewLevel => {
                    lane.predict(datum.time, &transition, rates);
                    lane.restart(datum, phase, rates);
                }
                Join::Continues => {
                    lane.predict(datum.time, &transition, rates);
                    lane.update(datum, phase, rates, surprises);
                }
            }
        }
    }
    lanes.map(|lane| lane.found)
}

impl Default for Lane {
    fn default() -> Self {
        Self {
            mean: Vector4::zeros(),
            sense: Vector4::zeros(),
            covariance: Matrix4::zeros(),
            found: Pass::default(),
        }
    }
}

impl Lane {
    /// Another member: nothing is known of its swing.
    fn swing_anew(&mut self, variance: f64) {
        self.mean = Vector4::zeros();
        self.sense = Vector4::zeros();
        self.covariance = Matrix4::zeros();
        self.covariance[(COSINE, COSINE)] = variance;
        self.covariance[(SINE, SINE)] = variance;
    }

    /// The first reading of a drift.
    fn begin(&mut self, datum: &Datum, phase: &Phase, rates: &Rates) {
        self.mean[DRIFT] = rates.drift;
        self.sense[DRIFT] = 1.0;
        self.covariance.fill_row(DRIFT, 0.0);
        self.covariance.fill_column(DRIFT, 0.0);
        self.covariance[(DRIFT, DRIFT)] = rates.drift_variance;
        self.restart(datum, phase, rates);
    }

    /// The level is what the reading leaves beside the swing.
    fn restart(&mut self, datum: &Datum, phase: &Phase, rates: &Rates) {
        let along = phase.across();
        let (swing, sense) = (along.dot(&self.mean), along.dot(&self.sense));
        let with = self.covariance * along;
        let variance = along.dot(&with);
        self.mean[ERROR] = datum.value - swing;
        self.sense[ERROR] = -sense;
        for state in [DRIFT, COSINE, SINE] {
            self.covariance[(ERROR, state)] = -with[state];
            self.covariance[(state, ERROR)] = -with[state];
        }
        self.covariance[(ERROR, ERROR)] = variance + datum.noise_with(rates);
    }

    fn predict(&mut self, time: f64, transition: &Transition, rates: &Rates) {
        let (reach, left) = (transition.reach, transition.left);
        for state in [&mut self.mean, &mut self.sense] {
            state[ERROR] += reach * state[DRIFT];
            state[DRIFT] *= left;
        }
        let p = &mut self.covariance;
        for other in 0..4 {
            p[(ERROR, other)] += reach * p[(DRIFT, other)];
            p[(DRIFT, other)] *= left;
        }
        for other in 0..4 {
            p[(other, ERROR)] += reach * p[(other, DRIFT)];
            p[(other, DRIFT)] *= left;
        }
        p[(ERROR, ERROR)] += rates.wander * time + rates.turning * transition.error;
        p[(ERROR, DRIFT)] += rates.turning * transition.both;
        p[(DRIFT, ERROR)] += rates.turning * transition.both;
        p[(DRIFT, DRIFT)] += rates.turning * transition.drift;
    }

    fn update(&mut self, datum: &Datum, phase: &Phase, rates: &Rates, surprises: &Surprises) {
        let mut seen = phase.across();
        seen[ERROR] = 1.0;
        let with = self.covariance * seen;
        let expected = seen.dot(&with);
        let off = datum.value - seen.dot(&self.mean);
        let noise = datum.noise_with(rates);
        let variance = (expected + noise).max(LEAST_VARIANCE);
        if off * off <= QUIET * variance {
            self.found.log_likelihood +=
                surprises.quiet_loss(datum.time) - 0.5 * (off * off / variance + variance.ln());
            self.take(&seen, &with, off, variance);
            return;
        }
        let before = StateEstimate {
            error: seen.dot(&self.mean),
            drift: self.mean[DRIFT],
            error_variance: expected,
            covariance: with[DRIFT],
            drift_variance: self.covariance[(DRIFT, DRIFT)],
        };
        let weighed = surprises.mixture_update(&before, off, noise, datum.time);
        self.found.log_likelihood += weighed.log_likelihood;
        match weighed.meaning.step + weighed.meaning.broken > 0.5 {
            true => self.restart(datum, phase, rates),
            false => self.take(&seen, &with, off, 1.0 / weighed.precision),
        }
    }

    /// Takes in a reading `off` from what was expected along `seen`, of this variance.
    fn take(&mut self, seen: &Vector4<f64>, with: &Vector4<f64>, off: f64, variance: f64) {
        let sense = seen.dot(&self.sense);
        self.found.information += sense * sense / variance;
        self.found.pull += sense * off / variance;
        let gain = with / variance;
        self.mean += gain * off;
        self.sense -= gain * sense;
        self.covariance -= gain * with.transpose();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};
    use std::f64::consts::TAU;

    const RATES: Rates = Rates {
        drift: 0.05,
        drift_variance: 0.04,
        wander: 0.02,
        turning: 0.0,
        excess: 0.002,
        common: 0.0,
        damping: 0.0,
    };
    const X: [f64; 7] = [40.0, 40.6, 41.3, 41.9, 42.75, 43.1, 43.6];
    const Y: [f64; 7] = [0.1, -0.15, 0.2, 0.05, 0.2, -0.1, 0.12];
    /// An adjustment after the third reading gives a second level.
    const ADJUSTED: usize = 3;
    const NOISE: f64 = 0.01;
    const SWING: f64 = 0.03;

    fn one_pass(drift: f64, swing: f64) -> Pass {
        let datum = |i: usize| Datum {
            time: if i == 0 { 0.0 } else { X[i] - X[i - 1] },
            value: Y[i],
            noise: NOISE,
            join: match i {
                0 => Join::NewDrift,
                ADJUSTED => Join::NewLevel,
                _ => Join::Continues,
            },
            unread: false,
        };
        let data: Vec<Datum> = (0..X.len()).map(datum).collect();
        let phases = Phase::of_member(X.into_iter(), true);
        let rates = [Rates { drift, ..RATES }];
        let quiet = Surprises::default();
        let [found] = pass_with_swing(&data, &phases, &[], &rates, &[swing], &quiet, |_| {});
        found
    }

    /// The density of the differences to the first reading of each level, whose covariance is
    /// written out; the mean drift moves it as the pass says.
    #[test]
    fn the_pass_gives_the_joint_normal_density() {
        let pairs = [(1, 0), (2, 0), (4, 3), (5, 3), (6, 3)];
        let level = |i: usize| usize::from(i >= ADJUSTED) * ADJUSTED;
        let whole = DMatrix::from_fn(7, 7, |i, j| {
            let (since_i, since_j) = (X[i] - X[level(i)], X[j] - X[level(j)]);
            let same = f64::from(u8::from(level(i) == level(j)));
            let own = f64::from(u8::from(i == j)) * (NOISE + RATES.excess);
            let waves = (TAU * (X[i] - X[j])).cos();
            own + RATES.drift_variance * (X[i] - X[0]) * (X[j] - X[0])
                + same * RATES.wander * since_i.min(since_j)
                + SWING * waves
        });
        let contrast = DMatrix::from_fn(5, 7, |row, i| match pairs[row] {
            (own, _) if own == i => 1.0,
            (_, first) if first == i => -1.0,
            _ => 0.0,
        });
        let covariance = &contrast * whole * contrast.transpose();
        let values = &contrast * DVector::from_row_slice(&Y);
        let times = &contrast * DVector::from_row_slice(&X);
        let inverse = covariance.clone().try_inverse().unwrap();
        let density = |drift: f64| {
            let off = &values - &times * drift;
            -0.5 * (off.dot(&(&inverse * &off)) + covariance.determinant().ln())
        };
        let found = one_pass(RATES.drift, SWING);
        near!(found.log_likelihood, density(RATES.drift), 1e-12);
        let more = 0.3;
        let moved =
            found.log_likelihood + more * found.pull - 0.5 * more * more * found.information;
        near!(moved, density(RATES.drift + more), 1e-12);
    }
}
