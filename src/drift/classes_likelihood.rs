/*! Marginal likelihood of a class: one pass of Kalman filters over its readings, for
several sets of rates at once.

The log likelihood is that of the innovations (prediction-error decomposition: F. C.
Schweppe, *Evaluation of likelihood functions for Gaussian signals*, 1965), with the
level of each segment diffuse. The class's mean drift enters linearly, so its estimate
and its integral are exact: each filter also carries how its innovation moves with the
mean drift. Several lanes in one pass cost little more than one, since a filter waits
on its own divisions.
*/

use super::classes::{Datum, Join, Rates};
use super::state::LEAST_VARIANCE;

/// What one pass found for one set of rates.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Pass {
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

/// One pass over the readings of a class for `L` sets of rates.
pub(super) fn pass<const L: usize>(
    data: &[Datum],
    rates: &[Rates; L],
    threshold: f64,
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
    for datum in data {
        match datum.join {
            Join::NewDrift => s.begin(datum, rates),
            Join::NewLevel => s.restart(datum, rates),
            Join::Continues => s.learn(datum, rates, threshold),
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
            self.p_ee[i] = datum.noise + rates.excess;
            self.p_eb[i] = 0.0;
            self.p_bb[i] = rates.drift_variance;
        }
    }

    fn restart(&mut self, datum: &Datum, rates: &[Rates; L]) {
        for (i, rates) in rates.iter().enumerate() {
            self.error[i] = datum.value;
            self.error_sense[i] = 0.0;
            self.p_ee[i] = datum.noise + rates.excess;
            self.p_eb[i] = 0.0;
            self.p_bb[i] += rates.turning * datum.time;
        }
    }

    #[inline]
    fn learn(&mut self, datum: &Datum, rates: &[Rates; L], threshold: f64) {
        let t = datum.time;
        for (i, rates) in rates.iter().enumerate() {
            let error = self.error[i] + t * self.drift[i];
            let sense = self.error_sense[i] + t * self.drift_sense[i];
            let (eb, bb) = (self.p_eb[i], self.p_bb[i]);
            let turning = rates.turning * t;
            let p_ee = self.p_ee[i] + t * (2.0 * eb + t * bb + rates.wander + turning * t / 3.0);
            let p_eb = eb + t * (bb + 0.5 * turning);
            let p_bb = bb + turning;
            let noise = datum.noise + rates.excess;
            let variance = (p_ee + noise).max(LEAST_VARIANCE);
            let inverse = 1.0 / variance;
            let off = datum.value - error;
            let square = off * off * inverse;
            let stepped = square > threshold;
            let gain = if stepped { 0.0 } else { p_ee * inverse };
            let drift_gain = if stepped { 0.0 } else { p_eb * inverse };
            let kept = if stepped { 0.0 } else { 1.0 };
            self.squares[i] += square.min(threshold);
            self.product[i] *= variance;
            self.information[i] += kept * sense * sense * inverse;
            self.pull[i] += kept * sense * off * inverse;
            self.error[i] = if stepped {
                datum.value
            } else {
                error + gain * off
            };
            self.error_sense[i] = kept * (sense - gain * sense);
            self.drift[i] += drift_gain * off;
            self.drift_sense[i] -= drift_gain * sense;
            self.p_ee[i] = if stepped { noise } else { p_ee - gain * p_ee };
            self.p_eb[i] = kept * (p_eb - gain * p_eb);
            self.p_bb[i] = p_bb - drift_gain * p_eb;
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

    fn flush(&mut self) {
        for (sum, product) in self.logarithms.iter_mut().zip(&mut self.product) {
            *sum += product.ln();
            *product = 1.0;
        }
    }
}
