/*! The one door to a fit: whichever model the settings name. */

use super::marginal::state_candidate;
use super::suspects::{Suspect, suspects_of_state};
use super::{
    ClassParameters, DriftSettings, Fit, ModelName, Reading, fit_history, fit_history_with,
    fit_state, fit_wander,
};
use crate::records::History;

/// Fits the model of `settings` to one history; `class` lends to the state model, which is
/// also one of the candidates of `auto`.
pub fn fit_model(history: &History<'_>, class: &ClassParameters, settings: &DriftSettings) -> Fit {
    match settings.model {
        ModelName::State => {
            let mut fit = fit_state(history, class, settings);
            fit.suspects = suspects_of_state(history, class, settings);
            let sentence = |suspect: &Suspect| suspect.sentence(history, fit.readings as usize);
            fit.notes.extend(fit.suspects.iter().map(sentence));
            fit
        }
        ModelName::Wander => fit_wander(history, settings),
        ModelName::Auto => {
            let state = |readings: &[Reading]| state_candidate(history, readings, class, settings);
            fit_history_with(history, settings, ModelName::Auto, &[&state])
        }
        model => fit_history(history, settings, model),
    }
}
