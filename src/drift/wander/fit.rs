/*! The wander model as a fit of one history: figures for the tables, notes in words, and
what the innovations say of the model. */

use super::likelihood::Likelihood;
use super::mixture::mixed_forecast;
use super::model::{WanderFit, fit_wander_readings};
use super::suspects::suspects_of_wander;
use crate::drift::series::readings::{Reading, fill_readings};
use crate::drift::state::filter::Belief;
use crate::drift::state::smooth::unknown_drift;
use crate::drift::{Coefficient, DriftSettings, Fit, ModelName, Motion, Status};
use crate::records::History;

/// What the standardised innovations of a fit look like; for a right model they are
/// independent with variance one.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Innovations {
    /// Their number.
    pub count: u32,
    /// Mean square; one is expected.
    pub mean_square: f64,
    /// Correlation of neighbours; beyond 1.96/√count it is significant at 5 %.
    pub lag_one: f64,
    /// Largest in absolute value.
    pub largest: f64,
}

/// Fits the wander model (random walk with fixed drift, restricted likelihood), and names the
/// readings that do not fit it.
///
/// Where the readings cannot carry it, the fit has no motion and a note says why.
pub fn fit_wander(history: &History<'_>, settings: &DriftSettings) -> Fit {
    let mut readings = Vec::with_capacity(history.len() + 1);
    let unread = fill_readings(history, settings.axis, &mut readings);
    let (mut fit, found) = forecast_of(history, &readings);
    if unread.is_some() {
        fit.lose_level();
    }
    if let Some(found) = found {
        fit.suspects = suspects_of_wander(&readings, &found);
        let sentences = fit.suspects.iter();
        let sentences: Vec<String> = sentences
            .map(|suspect| suspect.sentence(history, readings.len()))
            .collect();
        fit.notes.extend(sentences);
    }
    fit
}

/// As [`fit_wander`], without the search for readings that do not fit. Its forecast is the same.
pub(crate) fn fit_wander_plain(history: &History<'_>, settings: &DriftSettings) -> Fit {
    let mut readings = Vec::with_capacity(history.len() + 1);
    let unread = fill_readings(history, settings.axis, &mut readings);
    let mut fit = forecast_of(history, &readings).0;
    if unread.is_some() {
        fit.lose_level();
    }
    fit
}

fn forecast_of(history: &History<'_>, readings: &[Reading]) -> (Fit, Option<WanderFit>) {
    let u_common = history.u_common.last().copied().unwrap_or(0.0);
    let mut fit =
        crate::drift::state::fit::empty_fit(ModelName::Wander, readings.len() as u32, u_common);
    let Some(last) = readings.last() else {
        (fit.status, fit.notes) = crate::drift::state::fit::nothing_to_fit(history);
        return (fit, None);
    };
    (fit.last_x, fit.origin) = (last.x, last.x);
    match fit_wander_readings(readings, Likelihood::Restricted) {
        Err(error) => {
            fit.status = Status::LevelOnly;
            fit.notes.push(error.words().into());
            (fit, None)
        }
        Ok(found) => {
            fill(&mut fit, &found, readings, u_common);
            (fit, Some(found))
        }
    }
}

fn fill(fit: &mut Fit, found: &WanderFit, readings: &[Reading], u_common: f64) {
    // Variances integrated out: what they are not known to adds to every band.
    let mut forecast = mixed_forecast(readings, found).unwrap_or(found.forecast);
    forecast.u_common = u_common;
    let belief = &forecast.belief;
    let innovations = innovations(readings, found);
    fit.status = Status::Estimated;
    fit.degrees_of_freedom = f64::from(found.readings - found.parameters);
    fit.residual_deviation = (found.forecast.noise).sqrt();
    fit.excess_u = if found.u_stated {
        found.noise.sqrt()
    } else {
        f64::NAN
    };
    fit.chi_squared = found.chi_squared;
    fit.drift_per_year = belief.drift;
    fit.u_drift_per_year = belief.drift_variance.sqrt();
    fit.wander_per_sqrt_year = found.wander.sqrt();
    fit.own_share = 1.0;
    let coefficient = |term, estimate, variance: f64| Coefficient {
        segment: None,
        term,
        estimate,
        standard_error: variance.sqrt(),
    };
    fit.coefficients = vec![
        coefficient("level", belief.error, belief.error_variance),
        coefficient("slope", belief.drift, belief.drift_variance),
    ];
    if !found.converged {
        fit.notes
            .push("the search for the wander did not settle; its best point was used".to_string());
    }
    let limit = 1.96 / f64::from(innovations.count.max(1)).sqrt();
    if innovations.count >= 20 && innovations.lag_one.abs() > limit {
        fit.notes.push(format!(
            "neighbouring one-step forecast errors are correlated ({:.2}, beyond ±{limit:.2}); a wander with fixed drift does not describe this history fully",
            innovations.lag_one
        ));
    }
    fit.motion = Motion::State(forecast);
}

/// Standardised one-step forecast errors of a fitted history, in brief.
pub fn innovations(readings: &[Reading], fit: &WanderFit) -> Innovations {
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
    let mut belief = Belief::default();
    let mut last: Option<&Reading> = None;
    let mut drift_known = false;
    for (index, reading) in readings.iter().enumerate() {
        let (value, u) = (reading.value / fit.scale, reading.u / fit.scale);
        let noise = rates.excess + if fit.u_stated { u * u } else { 0.0 };
        match last {
            Some(last) if last.segment == reading.segment => {
                belief = belief.after((reading.x - last.x).max(0.0), &rates);
                let off = value - belief.error;
                let z = off / (belief.error_variance + noise).sqrt();
                // The first difference of a drift segment only finds the drift.
                if drift_known && z.is_finite() {
                    visit(index, z);
                }
                drift_known = true;
                belief = belief.given(off, noise);
            }
            Some(last) if last.drift_segment == reading.drift_segment => {
                belief = belief.restarted(value, noise);
            }
            _ => {
                belief = Belief::first(value, noise, &rates);
                drift_known = false;
            }
        }
        last = Some(reading);
    }
}
