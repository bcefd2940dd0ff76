/*! From a history to its fit: readings, model, coefficients, drift per year, notes. */

use super::DriftSettings;
use super::choose::{self, Candidate};
use super::diagnostics::notes;
use super::diagnostics::tests::diagnose;
use super::fit::Fit;
use super::regression::curve_fit::from_regression;
use super::regression::design::Shape;
use super::regression::fit as regression;
use super::regression::least_squares::LeastSquaresError;
use super::regression::line_fit::fit_line;
use super::series::readings::{Axis, Reading, fill_readings};
use super::series::use_rate::UseRate;
use super::wander::fit::fit_wander_plain;
use super::wander::likelihood::Likelihood;
use super::wander::model::fit_wander_readings;
use super::wander::suspects::suspects_of_wander;
use crate::drift::choose::Model;
use crate::drift::choose::MoreModels;
use crate::drift::figures::figure;
use crate::drift::figures::spaced;
use crate::drift::fit::failed;
use crate::drift::model_name::ModelName;
use crate::drift::status::Status;
use crate::drift::suspect::Suspect;
use crate::records::{History, Outcome};

/// Fits `model` (constant, line, quadratic, polynomial, season, or auto among these and wander)
/// to a history. `State` and `Wander` have their own rooms; here they give the straight line.
pub fn fit_history(history: &History<'_>, settings: &DriftSettings, model: ModelName) -> Fit {
    fit_history_with(history, settings, model, &[])
}

/// As [`fit_history_with`], without tests and notes.
pub(super) fn fit_plain(
    history: &History<'_>,
    settings: &DriftSettings,
    model: ModelName,
    more: MoreModels<'_>,
) -> Fit {
    let mut readings = Vec::new();
    let unread = fill_readings(history, settings.axis, &mut readings);
    let mut fit = fit_any(&readings, history, settings, model, more);
    if unread.is_some() {
        fit.lose_level();
    }
    fit
}

/// As [`fit_history`], with more candidates for `auto`.
pub fn fit_history_with(
    history: &History<'_>,
    settings: &DriftSettings,
    model: ModelName,
    more: MoreModels<'_>,
) -> Fit {
    let mut readings = Vec::new();
    let unread = fill_readings(history, settings.axis, &mut readings);
    let mut fit = fit_any(&readings, history, settings, model, more);
    let found = diagnose(&fit, &readings, settings.axis);
    let chosen_wander = fit.model == ModelName::Wander;
    let wander = chosen_wander.then(|| fit_wander_readings(&readings, Likelihood::Restricted));
    fit.suspects = match wander {
        Some(Ok(wander)) => suspects_of_wander(&readings, &wander),
        _ => {
            let suspects = found.outliers.iter();
            suspects.filter_map(|o| Suspect::of(o, &readings)).collect()
        }
    };
    notes::add(&mut fit, &readings, history, &found);
    if unread.is_some() {
        fit.lose_level();
    }
    fit
}

fn fit_any(
    readings: &[Reading],
    history: &History<'_>,
    settings: &DriftSettings,
    model: ModelName,
    more: MoreModels<'_>,
) -> Fit {
    if readings.is_empty() {
        return nothing_to_fit(history, settings.axis);
    }
    let u_common = shared_u(history);
    let mut fit = match model {
        ModelName::Auto => {
            let wander = |readings: &[Reading]| wander_candidate(readings, history, settings);
            let mut others: Vec<Model<'_>> = vec![&wander];
            others.extend_from_slice(more);
            choose::best(readings, &others)
                .unwrap_or_else(|| line_for_want_of_a_choice(readings, u_common, settings))
        }
        _ => fit_readings(readings, u_common, settings, model),
    };
    if settings.axis == Axis::Usage {
        per_year(&mut fit, history);
    }
    fit
}

/// The straight line, where none of the models to choose from can answer.
pub(super) fn line_for_want_of_a_choice(
    readings: &[Reading],
    u_common: f64,
    settings: &DriftSettings,
) -> Fit {
    let mut fit = fit_readings(readings, u_common, settings, ModelName::Line);
    fit.notes.push(format!(
        "{} readings cannot decide between models; the straight line is used",
        readings.len()
    ));
    fit
}

/// Wander for `auto`: full likelihood, as that of the state model. `None` where not every reading
/// states u: with no noise and a free level that likelihood has no upper bound, and cannot be compared.
fn wander_candidate(
    readings: &[Reading],
    history: &History<'_>,
    settings: &DriftSettings,
) -> Option<Candidate> {
    if readings.len() < choose::FEWEST_READINGS {
        return None;
    }
    let found = fit_wander_readings(readings, Likelihood::Full).ok()?;
    found.u_stated.then(|| Candidate {
        fit: fit_wander_plain(history, settings),
        log_likelihood: found.log_likelihood,
        // Levels and drifts, the wander and the noise (or its excess).
        parameters: f64::from(found.parameters + 2),
    })
}

/// Largest shared uncertainty that any check of the history states; 0 where none does.
pub fn shared_u(history: &History<'_>) -> f64 {
    let stated = history.u_common.iter().filter(|u| u.is_finite());
    stated.copied().fold(0.0, f64::max)
}

/// Fits one model to readings; notes are not yet added, except where the fit failed.
pub fn fit_readings(
    readings: &[Reading],
    u_common: f64,
    settings: &DriftSettings,
    model: ModelName,
) -> Fit {
    let origin = match settings.axis {
        Axis::Time => readings.first().map_or(f64::NAN, |r| r.x),
        Axis::Usage => 0.0,
    };
    let degree = match model {
        ModelName::Constant => 0,
        ModelName::Quadratic => 2,
        ModelName::Polynomial => settings.degree,
        ModelName::Season => 1,
        _ if !settings.intercept => 1,
        _ => return fit_line(readings, u_common, origin),
    };
    let season = model == ModelName::Season;
    if season && settings.axis == Axis::Usage {
        let reason = "a season needs the time axis, not usage".to_string();
        return failed(model, readings, reason);
    }
    let shape = Shape {
        degree,
        season,
        intercept: settings.intercept,
    };
    match regression::fit(readings, shape, u_common) {
        Ok(curve) => from_regression(model, readings, origin, curve),
        Err(error) => without_answer(model, readings, error),
    }
}

fn nothing_to_fit(history: &History<'_>, axis: Axis) -> Fit {
    let outcomes = history.outcome.iter().any(|o| *o != Outcome::Unknown);
    let values = history.as_found.iter().any(|v| v.is_finite());
    let mut fit = Fit {
        status: if outcomes && !values {
            Status::OutcomesOnly
        } else {
            Status::NoReading
        },
        ..Fit::default()
    };
    if axis == Axis::Usage && values {
        fit.notes
            .push("no check states its usage; drift against use needs the column usage".into());
    }
    fit
}

fn without_answer(model: ModelName, readings: &[Reading], error: LeastSquaresError) -> Fit {
    let mut fit = failed(model, readings, format!("model {}: {error}", model.word()));
    let few = matches!(
        error,
        LeastSquaresError::TooFew { .. }
            | LeastSquaresError::Dependent(_)
            | LeastSquaresError::TooClose(_)
            | LeastSquaresError::OneSeason
    );
    if few {
        fit.status = Status::LevelOnly;
    }
    fit
}

/// On the usage axis drift and wander are per unit of use: turned into those of a year by the
/// item's rate of use, whose uncertainty that of the drift then contains, and said so.
pub(super) fn per_year(fit: &mut Fit, history: &History<'_>) {
    let rate = match UseRate::of(history) {
        Ok(rate) => rate,
        Err(why) => {
            fit.drift_per_year = f64::NAN;
            fit.u_drift_per_year = f64::NAN;
            fit.lent_drift_per_year = f64::NAN;
            fit.wander_per_sqrt_year = f64::NAN;
            fit.notes.push(format!("use per year is unknown: {why}"));
            return;
        }
    };
    let (use_a_year, u_use) = rate.per_year();
    let (drift, u_drift) = (fit.drift_per_year, fit.u_drift_per_year);
    fit.drift_per_year = drift * use_a_year;
    fit.lent_drift_per_year *= use_a_year;
    fit.u_drift_per_year = (u_drift * use_a_year)
        .hypot(drift * u_use)
        .hypot(u_drift * u_use);
    fit.wander_per_sqrt_year *= use_a_year.sqrt();
    if !drift.is_finite() {
        return;
    }
    let known = match rate.freedom > 0.0 {
        true => format!("{} ± {} (k = 1) a year", figure(use_a_year), figure(u_use)),
        false => format!(
            "{} a year, which one stretch between two counts tells without its uncertainty: forecasts \
             by date are as if it were known",
            figure(use_a_year)
        ),
    };
    fit.notes.push(format!(
        "drift is {}{} per unit of use; per year at the history's mean use of {known}",
        figure(drift),
        spaced(&history.item.unit),
    ));
}
