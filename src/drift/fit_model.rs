/*! The one door to a fit: whichever model the settings name. */

use super::borrowed::fit_borrowed;
use super::findings::STEPPED;
use super::history_fit::fit_plain;
use super::marginal::state_candidate;
use super::state_fit::fit_state_screened;
use super::suspects::suspects_of_state;
use super::{
    Borrow, ClassParameters, DriftSettings, Fit, ModelName, Reading, fit_history, fit_history_with,
    fit_state, fit_wander,
};
use crate::records::{History, date};

/// Fits the model of `settings` to one history; `class` lends to the state model, which is
/// also one of the candidates of `auto`.
pub fn fit_model(history: &History<'_>, class: &ClassParameters, settings: &DriftSettings) -> Fit {
    match settings.model {
        ModelName::State => state_with_suspects(history, class, settings),
        ModelName::Wander => fit_wander(history, settings),
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
    match settings.model {
        ModelName::State => fit_state(history, class, settings),
        ModelName::Wander => fit_wander(history, settings),
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

/// The state model, with the readings that do not fit it.
fn state_with_suspects(
    history: &History<'_>,
    class: &ClassParameters,
    settings: &DriftSettings,
) -> Fit {
    let (mut fit, surprising) = fit_state_screened(history, class, settings);
    if !surprising {
        return fit;
    }
    fit.suspects = suspects_of_state(history, class, settings);
    for suspect in &fit.suspects {
        // The filter takes a wild reading for two steps, out and back: one sentence says it better.
        let date = date::iso(history.date[suspect.row as usize]);
        let steps = |note: &String| note.starts_with(STEPPED) && note.contains(&date);
        if fit.notes.iter().filter(|note| steps(note)).count() == 2 {
            fit.notes.retain(|note| !steps(note));
        }
        fit.notes
            .push(suspect.sentence(history, fit.readings as usize));
    }
    fit
}
