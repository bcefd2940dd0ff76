/*! What an item's readings say of its yearly swing: the augmented filter. */

use super::annual::{ClassAnnualTerm, Trace};
use super::parameters::ClassParameters;
use crate::drift::series::join::Join;
use crate::drift::series::readings::Reading;
use crate::drift::state::annual::AnnualTerm;
use crate::drift::state::estimate::{LEAST_VARIANCE, StateEstimate};
use crate::drift::state::surprise::QUIET;
use crate::drift::state::transition::Transition;
use nalgebra::Vector2;
use std::f64::consts::TAU;

impl ClassAnnualTerm {
    /// The swing of one item of the class, in its unit, and what it does to level and drift.
    pub(crate) fn of_member(
        &self,
        readings: &[Reading],
        class: &ClassParameters,
        scale: f64,
    ) -> Option<AnnualTerm> {
        let last = readings.last()?;
        let trace = self.trace(readings, class, scale);
        let (found, variance) = self.given(&trace.information, &trace.pull);
        let square = scale * scale;
        Some(AnnualTerm {
            cosine: found[0] * scale,
            sine: found[1] * scale,
            covariance: (
                variance[(0, 0)] * square,
                variance[(0, 1)] * square,
                variance[(1, 1)] * square,
            ),
            p: f64::NAN,
            origin: last.x,
            level: (trace.level[0], trace.level[1]),
            drift: (trace.drift[0], trace.drift[1]),
        })
    }

    /// How level and drift after the last of `readings` move with cosine and sine.
    pub(crate) fn response(
        &self,
        readings: &[Reading],
        class: &ClassParameters,
        scale: f64,
    ) -> ((f64, f64), (f64, f64)) {
        let trace = self.trace(readings, class, scale);
        (
            (trace.level[0], trace.level[1]),
            (trace.drift[0], trace.drift[1]),
        )
    }

    /// Runs the filter of one item along its readings, the swing unknown. A reading that
    /// surprises starts the level anew: it must not pass for a swing.
    pub(crate) fn trace(&self, readings: &[Reading], class: &ClassParameters, scale: f64) -> Trace {
        let rates = &class.rates;
        let mut trace = Trace::default();
        let mut estimate = StateEstimate::default();
        let mut last: Option<&Reading> = None;
        for reading in readings {
            let (value, noise) = (
                reading.value / scale,
                rates.noise(class.noise_of(reading.u, scale)),
            );
            let phase = phase(reading.x);
            let join = Join::of(last, reading);
            let time = last.map_or(0.0, |last| (reading.x - last.x).max(0.0));
            let transition = Transition::of(time, rates.damping);
            last = Some(reading);
            if join == Join::NewDrift {
                estimate = StateEstimate::initial(value, noise, rates);
                (trace.level, trace.drift) = (-phase, Vector2::zeros());
                continue;
            }
            estimate = estimate.predicted(time, rates);
            trace.level += transition.reach * trace.drift;
            trace.drift *= transition.left;
            let sense = phase + trace.level;
            let off = value - estimate.error;
            let spread = (estimate.error_variance + noise).max(LEAST_VARIANCE);
            let (annual, variance) = self.given(&trace.information, &trace.pull);
            let innovation = off - sense.dot(&annual);
            let surprises =
                innovation * innovation > QUIET * (spread + sense.dot(&(variance * sense)));
            if join == Join::NewLevel || surprises {
                estimate = estimate.with_new_level(value, noise);
                trace.level = -phase;
                continue;
            }
            trace.information += sense * sense.transpose() / spread;
            trace.pull += sense * (off / spread);
            trace.level -= sense * (estimate.error_variance / spread);
            trace.drift -= sense * (estimate.covariance / spread);
            estimate = estimate.updated(off, noise);
        }
        trace
    }
}

/// Cosine and sine of the calendar year at `x`, years since 1970-01-01.
pub(crate) fn phase(x: f64) -> Vector2<f64> {
    let (sine, cosine) = (TAU * x).sin_cos();
    Vector2::new(cosine, sine)
}
