/*! The Kalman filter along the readings of a class at one set of rates: one walk for all who look
at its innovations. */

use super::rates::Rates;
use super::sample::Datum;
use crate::drift::series::join::Join;
use crate::drift::state::estimate::{LEAST_VARIANCE, StateEstimate};
use crate::drift::state::surprise::Surprises;

/// A reading that continues a segment, and what was expected of it.
pub(super) struct Expected<'a> {
    pub datum: &'a Datum,
    /// Level and drift just before the reading.
    pub predicted: StateEstimate,
    /// Variance of the reading about the true error.
    pub noise: f64,
}

impl Expected<'_> {
    /// Reading minus expected error.
    pub(crate) fn innovation(&self) -> f64 {
        self.datum.value - self.predicted.error
    }

    /// Variance of the innovation.
    pub(crate) fn variance(&self) -> f64 {
        (self.predicted.error_variance + self.noise).max(LEAST_VARIANCE)
    }

    /// Level and drift once the reading is known, whatever it may mean.
    pub(crate) fn updated(&self, surprises: &Surprises) -> StateEstimate {
        let (noise, time) = (self.noise, self.datum.time);
        let (estimate, _) = surprises.update(&self.predicted, self.innovation(), noise, time);
        estimate
    }
}

/// Who looks at the innovations of a walk.
pub(super) trait Observer {
    /// The next datum, whatever it continues: the variance of its reading.
    fn noise_of(&mut self, datum: &Datum) -> f64;

    /// A reading of a segment that has begun: level and drift once it is known.
    fn update(&mut self, expected: &Expected<'_>) -> StateEstimate;
}

/// Walks along `data`; the first reading of a drift or of a level tests nothing.
pub(super) fn walk(data: &[Datum], rates: &Rates, observer: &mut impl Observer) {
    let mut estimate = StateEstimate::default();
    for datum in data {
        let noise = observer.noise_of(datum);
        if datum.join == Join::NewDrift {
            estimate = StateEstimate::initial(datum.value, noise, rates);
            continue;
        }
        let predicted = estimate.predicted(datum.time, rates);
        estimate = match datum.join {
            Join::NewLevel => predicted.with_new_level(datum.value, noise),
            _ => observer.update(&Expected {
                datum,
                predicted,
                noise,
            }),
        };
    }
}
