/*! The one door to a fit: whichever model the settings name. */

use super::{ClassParameters, DriftSettings, Fit, ModelName, fit_history, fit_state, fit_wander};
use crate::records::History;

/// Fits the model of `settings` to one history; `class` lends to the state model alone.
pub fn fit_model(history: &History<'_>, class: &ClassParameters, settings: &DriftSettings) -> Fit {
    match settings.model {
        ModelName::State => fit_state(history, class, settings),
        ModelName::Wander => fit_wander(history, settings),
        model => fit_history(history, settings, model),
    }
}
