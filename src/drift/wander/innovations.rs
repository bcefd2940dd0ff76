/*! One-step forecast errors of the wander model, and what they say of it. */

use super::model::WanderFit;
use super::smooth::unknown_drift;
use crate::drift::series::readings::Reading;
use crate::drift::state::estimate::StateEstimate;

/// What the standardised innovations of a fit look like; for a right model they are
/// independent with variance one.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Innovations {
    /// Their number.
    pub count: u32,
    /// Mean square; one is expected.
    pub mean_square: f64,
    /// Correlation of neighbours; beyond 1.96/√count it is significant at 5 %.
    pub lag_one: f64,
    /// Largest in absolute value.
    pub largest: f64,
}

/// Standardised one-step forecast errors of a fitted history, in brief.
pub(crate) fn innovations(readings: &[Reading], fit: &WanderFit) -> Innovations {
    let mut out = Innovations::default();
    let (mut squares, mut products, mut before) = (0.0, 0.0, None);
    standardised(readings, fit, |_, z| {
        squares += z * z;
        products += before.map_or(0.0, |b: f64| b * z);
        before = Some(z);
        out.count += 1;
        out.largest = out.largest.max(z.abs());
    });
    if out.count > 0 {
        out.mean_square = squares / f64::from(out.count);
        out.lag_one = if squares > 0.0 {
            products / squares
        } else {
            0.0
        };
    }
    out
}

/// Visits each reading that has one by its index and its standardised one-step forecast error.
pub(crate) fn standardised(
    readings: &[Reading],
    fit: &WanderFit,
    mut visit: impl FnMut(usize, f64),
) {
    let rates = unknown_drift(readings, fit);
    let mut estimate = StateEstimate::default();
    let mut last: Option<&Reading> = None;
    let mut drift_known = false;
    for (index, reading) in readings.iter().enumerate() {
        let (value, u) = (reading.value / fit.scale, reading.u / fit.scale);
        let noise = rates.excess + if fit.u_stated { u * u } else { 0.0 };
        match last {
            Some(last) if last.segment == reading.segment => {
                estimate = estimate.predicted((reading.x - last.x).max(0.0), &rates);
                let off = value - estimate.error;
                let z = off / (estimate.error_variance + noise).sqrt();
                // The first difference of a drift segment only finds the drift.
                if drift_known && z.is_finite() {
                    visit(index, z);
                }
                drift_known = true;
                estimate = estimate.updated(off, noise);
            }
            Some(last) if last.drift_segment == reading.drift_segment => {
                estimate = estimate.with_new_level(value, noise);
            }
            _ => {
                estimate = StateEstimate::initial(value, noise, &rates);
                drift_known = false;
            }
        }
        last = Some(reading);
    }
}
