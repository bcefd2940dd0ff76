/*! Coverage and sharpness of some forecasts: how many readings fell inside, and how wide the bands were. */

use super::forecast::Scored;
use crate::simulate::estimate::share_of_dependent;

/// Bands and scores of some forecasts. Lengths are in half widths of the tolerance (or
/// standard deviations of the readings, where a history has none).
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Coverage {
    /// What the forecasts have in common, in words.
    pub label: String,
    /// Forecasts.
    pub count: u64,
    /// Of those, readings inside the band.
    pub inside: u64,
    /// Limits of the share inside; histories, or stretches of few, are the independent units.
    pub limits: (f64, f64),
    /// Mean width of the band.
    pub width: f64,
    /// Mean continuous ranked probability score, where it is finite (above one degree
    /// of freedom).
    pub crps: f64,
    /// Mean interval score.
    pub interval_score: f64,
}

/// Mean figures of some forecasts.
pub(super) fn coverage<'a>(
    label: impl Into<String>,
    scored: impl Iterator<Item = &'a Scored>,
    confidence: f64,
) -> Coverage {
    let (mut count, mut inside) = (0u64, 0u64);
    let (mut width, mut interval_score) = (0.0, 0.0);
    let (mut crps, mut with_crps) = (0.0, 0.0);
    let mut cases = Vec::new();
    for forecast in scored {
        count += 1;
        cases.push((forecast.history, f64::from(u8::from(forecast.inside))));
        inside += u64::from(forecast.inside);
        width += forecast.width;
        interval_score += forecast.interval_score;
        if forecast.crps.is_finite() {
            crps += forecast.crps;
            with_crps += 1.0;
        }
    }
    Coverage {
        label: label.into(),
        count,
        inside,
        limits: share_of_dependent(cases.into_iter(), confidence),
        width: width / count as f64,
        crps: crps / with_crps,
        interval_score: interval_score / count as f64,
    }
}
