/*! Marginal likelihood of a class: one pass of Kalman filters over its readings, for
several sets of rates at once.

The log likelihood is that of the innovations (prediction-error decomposition: F. C.
Schweppe, *Evaluation of likelihood functions for Gaussian signals*, 1965), with the
level of each segment diffuse. The class's mean drift enters linearly, so its estimate
and its integral are exact: each filter also carries how its innovation moves with the
mean drift. Several lanes in one pass cost little more than one, since a filter waits
on its own divisions.
*/

use super::sample::Datum;
use crate::drift::class::rates::Rates;
use crate::drift::series::join::Join;
use crate::drift::state::estimate::{LEAST_VARIANCE, StateEstimate};
use crate::drift::state::surprise::{QUIET, Surprises};
use crate::drift::state::transition::Transition;

/// What one pass found for one set of rates.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Pass {
    /// Log likelihood at the reference mean drift, constants left out.
    pub log_likelihood: f64,
    /// Information on the mean drift: Σ a²/S.
    pub information: f64,
    /// Σ a·v/S: pull of the mean drift away from the reference.
    pub pull: f64,
}

/// Running state of `L` filters.
struct Lanes<const L: usize> {
    error: [f64; L],
    drift: [f64; L],
    error_sense: [f64; L],
    drift_sense: [f64; L],
    p_ee: [f64; L],
    p_eb: [f64; L],
    p_bb: [f64; L],
    /// Product of innovation variances, whose logarithm is taken seldom.
    product: [f64; L],
    squares: [f64; L],
    logarithms: [f64; L],
    information: [f64; L],
    pull: [f64; L],
}

/// What the time before each reading does; empty for drifts that stay, where it is quicker
/// found anew than fetched.
pub(crate) fn transitions(data: &[Datum], damping: f64) -> Vec<Transition> {
    match damping {
        0.0 => Vec::new(),
        _ => data
            .iter()
            .map(|datum| Transition::of(datum.time, damping))
            .collect(),
    }
}

/// One pass over the readings of a class for `L` sets of rates of one damping, whose
/// `passages` are given.
pub(crate) fn pass<const L: usize>(
    data: &[Datum],
    transitions: &[Transition],
    rates: &[Rates; L],
    surprises: &Surprises,
) -> [Pass; L] {
    let zero = [0.0; L];
    let mut s = Lanes {
        error: zero,
        drift: zero,
        error_sense: zero,
        drift_sense: zero,
        p_ee: zero,
        p_eb: zero,
        p_bb: zero,
        product: [1.0; L],
        squares: zero,
        logarithms: zero,
        information: zero,
        pull: zero,
    };
    for (i, datum) in data.iter().enumerate() {
        let transition = || match transitions.get(i) {
            Some(known) => *known,
            None => Transition::of(datum.time, 0.0),
        };
        match datum.join {
            Join::NewDrift => s.begin(datum, rates),
            Join::NewLevel => s.restart(datum, rates, &transition()),
            Join::Continues => s.update(datum, rates, &transition(), surprises),
        }
    }
    s.flush();
    std::array::from_fn(|i| Pass {
        log_likelihood: -0.5 * (s.squares[i] + s.logarithms[i]),
        information: s.information[i],
        pull: s.pull[i],
    })
}

impl<const L: usize> Lanes<L> {
    fn begin(&mut self, datum: &Datum, rates: &[Rates; L]) {
        for (i, rates) in rates.iter().enumerate() {
            self.error[i] = datum.value;
            self.drift[i] = rates.drift;
            self.error_sense[i] = 0.0;
            self.drift_sense[i] = 1.0;
            self.p_ee[i] = datum.noise_with(rates);
            self.p_eb[i] = 0.0;
            self.p_bb[i] = rates.drift_variance;
        }
    }

    fn restart(&mut self, datum: &Datum, rates: &[Rates; L], transition: &Transition) {
        for (i, rates) in rates.iter().enumerate() {
            self.error[i] = datum.value;
            self.error_sense[i] = 0.0;
            self.drift[i] *= transition.left;
            self.drift_sense[i] *= transition.left;
            self.p_ee[i] = datum.noise_with(rates);
            self.p_eb[i] = 0.0;
            self.p_bb[i] =
                transition.left * transition.left * self.p_bb[i] + rates.turning * transition.drift;
        }
    }

    #[inline]
    fn update(
        &mut self,
        datum: &Datum,
        rates: &[Rates; L],
        transition: &Transition,
        surprises: &Surprises,
    ) {
        let (reach, left) = (transition.reach, transition.left);
        let mut calm = true;
        for (i, rates) in rates.iter().enumerate() {
            self.error[i] += reach * self.drift[i];
            self.error_sense[i] += reach * self.drift_sense[i];
            self.drift[i] *= left;
            self.drift_sense[i] *= left;
            let (eb, bb) = (self.p_eb[i], self.p_bb[i]);
            self.p_ee[i] += reach * (2.0 * eb + reach * bb)
                + rates.wander * datum.time
                + rates.turning * transition.error;
            self.p_eb[i] = left * (eb + reach * bb) + rates.turning * transition.both;
            self.p_bb[i] = left * left * bb + rates.turning * transition.drift;
            let off = datum.value - self.error[i];
            let variance = (self.p_ee[i] + rates.noise(datum.noise)).max(LEAST_VARIANCE);
            calm &= off * off <= QUIET * variance;
        }
        if !calm {
            return self.weigh(datum, rates, surprises);
        }
        let loss = -2.0 * surprises.quiet_loss(datum.time);
        for (i, rates) in rates.iter().enumerate() {
            let off = datum.value - self.error[i];
            let variance = (self.p_ee[i] + rates.noise(datum.noise)).max(LEAST_VARIANCE);
            let inverse = 1.0 / variance;
            let (gain, drift_gain) = (self.p_ee[i] * inverse, self.p_eb[i] * inverse);
            let sense = self.error_sense[i];
            self.squares[i] += off * off * inverse + loss;
            self.product[i] *= variance;
            self.information[i] += sense * sense * inverse;
            self.pull[i] += sense * off * inverse;
            self.error[i] += gain * off;
            self.error_sense[i] -= gain * sense;
            self.drift[i] += drift_gain * off;
            self.drift_sense[i] -= drift_gain * sense;
            self.p_bb[i] -= drift_gain * self.p_eb[i];
            self.p_ee[i] -= gain * self.p_ee[i];
            self.p_eb[i] -= gain * self.p_eb[i];
        }
        // Sixteen variances of at least 1e-18 stay above the smallest double.
        if self
            .product
            .iter()
            .any(|product| !(1e-200..1e200).contains(product))
        {
            self.flush();
        }
    }

    /// Takes in a reading that surprises at least one lane.
    #[cold]
    fn weigh(&mut self, datum: &Datum, rates: &[Rates; L], surprises: &Surprises) {
        for (i, rates) in rates.iter().enumerate() {
            let before = StateEstimate {
                error: self.error[i],
                drift: self.drift[i],
                error_variance: self.p_ee[i],
                covariance: self.p_eb[i],
                drift_variance: self.p_bb[i],
            };
            let off = datum.value - before.error;
            let noise = rates.noise(datum.noise);
            let update = surprises.mixture_update(&before, off, noise, datum.time);
            let sense = self.error_sense[i];
            self.squares[i] -= 2.0 * update.log_likelihood;
            self.information[i] += sense * sense * update.precision;
            self.pull[i] += sense * off * update.precision;
            self.error_sense[i] -= update.gain * sense;
            self.drift_sense[i] -= update.drift_gain * sense;
            self.error[i] = update.estimate.error;
            self.drift[i] = update.estimate.drift;
            self.p_ee[i] = update.estimate.error_variance;
            self.p_eb[i] = update.estimate.covariance;
            self.p_bb[i] = update.estimate.drift_variance;
        }
    }

    fn flush(&mut self) {
        for (sum, product) in self.logarithms.iter_mut().zip(&mut self.product) {
            *sum += product.ln();
            *product = 1.0;
        }
    }
}
