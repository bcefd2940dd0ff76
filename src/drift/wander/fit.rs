/*! The wander model as a fit of one history: figures for the tables, notes in words, and
what the innovations say of the model. */

use super::likelihood::Likelihood;
use super::mixture::mixed_forecast;
use super::model::{WanderFit, fit_wander_readings};
use super::suspects::suspects_of_wander;
use crate::drift::series::readings::{Reading, fill_readings};
use crate::drift::wander::innovations::innovations;
use crate::drift::{Coefficient, DriftSettings, Fit, ModelName, Status};
use crate::records::History;
use std::sync::Arc;

/// Fits the wander model (random walk with fixed drift, restricted likelihood), and names the
/// readings that do not fit it.
///
/// Where the readings cannot carry it, the fit has no motion and a note says why.
pub(crate) fn fit_wander(history: &History<'_>, settings: &DriftSettings) -> Fit {
    let (mut fit, readings, found) = estimated(history, settings);
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
    estimated(history, settings).0
}

fn estimated(
    history: &History<'_>,
    settings: &DriftSettings,
) -> (Fit, Vec<Reading>, Option<WanderFit>) {
    let mut readings = Vec::with_capacity(history.len() + 1);
    let unread = fill_readings(history, settings.axis, &mut readings);
    let (mut fit, found) = forecast_of(history, &readings);
    if unread.is_some() {
        fit.lose_level();
    }
    (fit, readings, found)
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
    let estimate = &forecast.estimate;
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
    fit.drift_per_year = estimate.drift;
    fit.u_drift_per_year = estimate.drift_variance.sqrt();
    fit.wander_per_sqrt_year = found.wander.sqrt();
    fit.shrinkage_weight = 1.0;
    fit.coefficients = vec![
        Coefficient::shared("level", estimate.error, estimate.error_variance),
        Coefficient::shared("slope", estimate.drift, estimate.drift_variance),
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
    fit.motion = Some(Arc::new(forecast));
}
