/*! The level of a past date under the wander model, given all readings. */

use super::model::WanderFit;
use crate::drift::Prediction;
use crate::drift::class::rates::Rates;
use crate::drift::series::next_u::next_u;
use crate::drift::series::readings::Reading;
use crate::drift::state::smooth::{prediction, smooth, timeline};
use crate::drift::state::surprise::Surprises;

/// A drift this many times wider than the history itself shows serves as unknown.
const UNKNOWN_DRIFT: f64 = 1e4;

/// The same for the wander model of one history.
pub(crate) fn smoothed_wander(
    readings: &[Reading],
    fit: &WanderFit,
    xs: &[f64],
) -> Vec<Prediction> {
    let scale = fit.scale;
    let moments = timeline(readings, &[], xs, (scale, 1.0));
    let rates = unknown_drift(readings, fit);
    let noise = |u: f64, _| rates.excess + if fit.u_stated { u * u } else { 0.0 };
    let last = noise(next_u(readings) / scale, 1.0);
    smooth(&moments, &rates, &Surprises::default(), noise, xs.len())
        .into_iter()
        .map(|estimate| {
            let level = (estimate.error, estimate.error_variance, last);
            prediction(level, scale, fit.forecast.u_common)
        })
        .collect()
}

/// Rates of the wander model in units of its scale, with a drift that nothing is known of
/// beforehand.
pub(crate) fn unknown_drift(readings: &[Reading], fit: &WanderFit) -> Rates {
    let (scale, square) = (fit.scale, fit.scale * fit.scale);
    let span = readings.last().map_or(0.0, |last| last.x - readings[0].x);
    let (estimate, rates) = (&fit.forecast.estimate, &fit.forecast.rates);
    let (drift, wander) = (estimate.drift / scale, rates.wander / square);
    let walked = if span > 0.0 { wander / span } else { 0.0 };
    Rates {
        drift,
        drift_variance: UNKNOWN_DRIFT * (estimate.drift_variance / square + drift * drift + walked),
        wander,
        excess: rates.excess / square,
        ..*rates
    }
}
