/*! The one door to a fit: whichever model the settings name. */

use super::marginal::state_candidate;
use super::suspects::suspects_of_state;
use super::{
    ClassParameters, DriftSettings, Fit, ModelName, Reading, fit_history, fit_history_with,
    fit_state, fit_wander,
};
use crate::records::{History, date};

/// How the note on a step begins.
const STEPPED: &str = "the value stepped by";

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
        model => fit_history(history, settings, model),
    }
}

/// The state model, with the readings that do not fit it.
fn state_with_suspects(
    history: &History<'_>,
    class: &ClassParameters,
    settings: &DriftSettings,
) -> Fit {
    let mut fit = fit_state(history, class, settings);
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
