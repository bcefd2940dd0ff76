/*! The one door to a fit: whichever model the settings name. */

use super::diagnostics::suspects::suspects_of_state;
use super::history_fit::{fit_plain, per_year};
use super::pooled::borrowed::fit_borrowed;
use super::series::readings::{Axis, Reading, unread_end};
use super::state::fit::fit_state;
use super::state::fit::{fit_state_screened, tell};
use super::state::marginal::state_candidate;
use super::wander::fit::fit_wander;
use super::wander::fit::fit_wander_plain;
use super::{DriftSettings, Fit, ModelName, fit_history, fit_history_with};
use crate::drift::class::parameters::ClassParameters;
use crate::drift::settings::Borrow;
use crate::records::History;

/// Fits the model of `settings` to one history; `class` lends to the state model, which is
/// also one of the candidates of `auto`.
pub fn fit_model(history: &History<'_>, class: &ClassParameters, settings: &DriftSettings) -> Fit {
    let mut fit = fitted(history, class, settings);
    let grid = history.item.grid.filter(|_| fit.readings > 0);
    fit.notes
        .extend(grid.map(|grid| grid.sentence(&history.item.unit)));
    fit
}

/// The fit, without what is said of the values themselves.
fn fitted(history: &History<'_>, class: &ClassParameters, settings: &DriftSettings) -> Fit {
    if only_the_class_knows(history, settings) {
        let fit = state_with_suspects(history, class, settings);
        let mut fit = in_years(fit, history, settings);
        fit.notes.push(format!(
            "model {} needs a level, and the one left at the last event was not kept: the state model takes it from the class",
            settings.model.word()
        ));
        return fit;
    }
    match settings.model {
        ModelName::State => {
            let fit = state_with_suspects(history, class, settings);
            in_years(fit, history, settings)
        }
        ModelName::Wander => in_years(fit_wander(history, settings), history, settings),
        ModelName::Auto => {
            let state = |readings: &[Reading]| state_candidate(history, readings, class, settings);
            fit_history_with(history, settings, ModelName::Auto, &[&state])
        }
        ModelName::Line if settings.borrow == Borrow::Class => {
            fit_borrowed(history, class, settings)
        }
        model => fit_history(history, settings, model),
    }
}

/// As [`fit_model`], but for what only a reader needs: no tests, no suspects, fewer notes.
/// Its forecast is the same.
pub fn fit_forecast(
    history: &History<'_>,
    class: &ClassParameters,
    settings: &DriftSettings,
) -> Fit {
    if only_the_class_knows(history, settings) {
        return in_years(fit_state(history, class, settings), history, settings);
    }
    match settings.model {
        ModelName::State => in_years(fit_state(history, class, settings), history, settings),
        ModelName::Wander => in_years(fit_wander_plain(history, settings), history, settings),
        ModelName::Auto => {
            let state = |readings: &[Reading]| state_candidate(history, readings, class, settings);
            fit_plain(history, settings, ModelName::Auto, &[&state])
        }
        ModelName::Line if settings.borrow == Borrow::Class => {
            fit_borrowed(history, class, settings)
        }
        model => fit_plain(history, settings, model, &[]),
    }
}

/// Figures of a year, where the fit was made over use.
fn in_years(mut fit: Fit, history: &History<'_>, settings: &DriftSettings) -> Fit {
    if settings.axis == Axis::Usage && fit.readings > 0 {
        per_year(&mut fit, history);
    }
    fit
}

/// True where the record ends with an event whose value left was not kept: of the models only
/// the state model can then tell the level, since its class lends it.
fn only_the_class_knows(history: &History<'_>, settings: &DriftSettings) -> bool {
    settings.model != ModelName::State
        && history.as_found.iter().any(|value| value.is_finite())
        && unread_end(history, settings.axis).is_some()
}

/// The state model, with the readings that do not fit it.
fn state_with_suspects(
    history: &History<'_>,
    class: &ClassParameters,
    settings: &DriftSettings,
) -> Fit {
    let (mut fit, mut screened) = fit_state_screened(history, class, settings);
    if screened.far {
        fit.suspects = suspects_of_state(history, class, settings);
    }
    // Of a suspect reading the suspicion is told, and not the filter's surprise beside it.
    let suspected = |row: u32| fit.suspects.iter().any(|suspect| suspect.row == row);
    screened.surprises.retain(|told| !suspected(told.row));
    tell(&mut fit, screened.surprises);
    let readings = fit.readings as usize;
    let sentences = fit.suspects.iter().map(|s| s.sentence(history, readings));
    let sentences: Vec<String> = sentences.collect();
    fit.notes.extend(sentences);
    fit
}
