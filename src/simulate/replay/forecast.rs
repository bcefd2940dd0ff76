/*! Forecasts of past readings from what was known before each, and their scores. */

use super::super::scores::{crps, interval_score};
use super::cut::{past_item, prefix};
use super::past_classes::PastClasses;
use super::settings::ReplaySettings;
use crate::drift::series::readings::Axis;
use crate::drift::{DriftSettings, Fit, Prediction, fit_forecast};
use crate::records::{DAYS_PER_YEAR, Event, History};

/// A target further off than this multiple of the horizon belongs to another horizon.
const HORIZON_SLACK: f64 = 1.5;

/// How far ahead a forecast looked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ahead {
    /// To the next reading, whenever it came.
    Next,
    /// About this many years.
    Years(f64),
}

/// One forecast and what came of it. Lengths are in the history's scale (half width of
/// its tolerance, else the standard deviation of its readings).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scored {
    pub history: u32,
    /// Last row that was known.
    pub origin: u32,
    /// Row that was forecast.
    pub target: u32,
    /// How far ahead.
    pub ahead: Ahead,
    /// Expected reading, standard uncertainty and degrees of freedom, history's unit.
    pub prediction: Prediction,
    /// The reading lay inside the band.
    pub inside: bool,
    /// Width of the band.
    pub width: f64,
    /// Continuous ranked probability score.
    pub crps: f64,
    /// Interval score of the band.
    pub interval_score: f64,
    /// Forecast probability that the reading is in tolerance, where there is one.
    pub probability_in: f64,
    /// The reading was in tolerance.
    pub was_in: bool,
}

/// One row to be forecast from an earlier one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Pair {
    pub origin: usize,
    pub target: usize,
}

/// The rows that can be forecast: those of a later day, since the day's other readings are known
/// to the class; the level must not have been reset in between, other
/// than at the target after its as-found reading.
pub(super) fn pairs(history: &History<'_>, ahead: Ahead) -> Vec<Pair> {
    let readable = |row: usize| {
        let after_shock = history.happened(row) == Event::Shocked && history.as_left[row].is_nan();
        history.as_found[row].is_finite() && !after_shock
    };
    let reaches = |origin: usize, target: usize| {
        (origin + 1..target).all(|row| !history.happened(row).restarts_level())
    };
    let mut pairs: Vec<Pair> = Vec::new();
    for origin in 0..history.len() {
        let years = |row: usize| (history.date[row] - history.date[origin]) / DAYS_PER_YEAR;
        let target = match ahead {
            Ahead::Next => (origin + 1 < history.len())
                .then_some(origin + 1)
                .filter(|row| years(*row) > 0.0),
            // Forecasts of one horizon must not overlap: each tells something new.
            Ahead::Years(_) if pairs.last().is_some_and(|pair| origin < pair.target) => None,
            Ahead::Years(horizon) => (origin + 1..history.len())
                .find(|row| years(*row) >= horizon)
                .filter(|row| years(*row) <= HORIZON_SLACK * horizon),
        };
        if let Some(target) = target.filter(|row| readable(*row) && reaches(origin, *row)) {
            pairs.push(Pair { origin, target });
        }
    }
    pairs
}

/// Unit of a history's scores: half width of its tolerance, else the standard deviation
/// of its readings, else 1.
pub(crate) fn scale(history: &History<'_>) -> f64 {
    let half = history
        .item
        .tolerance
        .map(|tolerance| tolerance.half_width());
    if let Some(half) = half.filter(|half| half.is_finite() && *half > 0.0) {
        return half;
    }
    let values = || history.as_found.iter().filter(|value| value.is_finite());
    let count = values().count() as f64;
    let mean = values().sum::<f64>() / count;
    let deviation = (values().map(|v| (v - mean).powi(2)).sum::<f64>() / (count - 1.0)).sqrt();
    if deviation.is_finite() && deviation > 0.0 {
        deviation
    } else {
        1.0
    }
}

/// Every forecast of one history under each forecaster, outer order as `forecasters`;
/// the lists agree in length and case, with `None` where a forecaster could say nothing.
pub(super) fn score_history(
    index: usize,
    history: &History<'_>,
    classes: &PastClasses,
    forecasters: &[DriftSettings],
    (drift, settings): (&DriftSettings, &ReplaySettings),
) -> Vec<Vec<Option<Scored>>> {
    let item = past_item(history.item);
    let scale = scale(history);
    let mut scored = vec![Vec::new(); forecasters.len()];
    let mut horizons = vec![Ahead::Next];
    horizons.extend(settings.horizons.iter().map(|years| Ahead::Years(*years)));
    let mut wanted: Vec<(Pair, Ahead)> = horizons
        .iter()
        .flat_map(|ahead| {
            pairs(history, *ahead)
                .into_iter()
                .map(|pair| (pair, *ahead))
        })
        .collect();
    wanted.sort_by_key(|(pair, _)| pair.origin);
    for same_origin in wanted.chunk_by(|a, b| a.0.origin == b.0.origin) {
        let origin = same_origin[0].0.origin;
        let Some(class) = classes.on(index, history.date[origin]) else {
            continue;
        };
        let known = prefix(history, &item, origin + 1);
        let fits: Vec<Fit> = forecasters
            .iter()
            .map(|model| fit_forecast(&known, class, model))
            .collect();
        for (pair, ahead) in same_origin {
            let x = match drift.axis {
                Axis::Time => history.date[pair.target] / DAYS_PER_YEAR,
                Axis::Usage => history.usage[pair.target],
            };
            let place = (index as u32, *pair, *ahead);
            for (list, fit) in scored.iter_mut().zip(&fits) {
                let prediction = fit.at(x).filter(usable);
                list.push(prediction.map(|p| score(place, history, p, scale, drift.level)));
            }
        }
    }
    scored
}

fn usable(prediction: &Prediction) -> bool {
    prediction.expected.is_finite() && prediction.u_reading.is_finite()
}

fn score(
    (index, pair, ahead): (u32, Pair, Ahead),
    history: &History<'_>,
    prediction: Prediction,
    scale: f64,
    level: f64,
) -> Scored {
    let value = history.as_found[pair.target];
    let band = prediction.reading(level);
    let tolerance = history.tolerance_at(pair.target);
    let of_reading = Prediction {
        u_error: prediction.u_reading,
        ..prediction
    };
    let freedom = prediction.degrees_of_freedom;
    Scored {
        history: index,
        origin: pair.origin as u32,
        target: pair.target as u32,
        ahead,
        prediction,
        inside: band.0 <= value && value <= band.1,
        width: (band.1 - band.0) / scale,
        crps: crps(value, prediction.expected, prediction.u_reading, freedom) / scale,
        interval_score: interval_score(value, band, level) / scale,
        probability_in: tolerance.map_or(f64::NAN, |limits| of_reading.probability_in(limits)),
        was_in: tolerance.is_some_and(|limits| limits.contains(value)),
    }
}
