/*! The drift stage: every history fitted by the model the pipeline asks for. */

use crate::drift::{
    ClassParameters, Classes, DriftSettings, Fit, ModelName, class_parameters, fit_history,
    fit_state, fit_wander,
};
use crate::records::{Histories, History};
use rayon::prelude::*;

/// The classes and one fit a history, in the histories' order.
#[derive(Debug, Clone, Default)]
pub struct Fits {
    /// What each class lends its members.
    pub classes: Classes,
    /// One fit a history.
    pub fits: Vec<Fit>,
}

/// Fits all histories on all cores; the order of the result is that of the histories.
pub fn fit_all(histories: &Histories, settings: &DriftSettings) -> Fits {
    let classes = class_parameters(histories, settings);
    let fits = (0..histories.len())
        .into_par_iter()
        .map(|index| fit_one(&histories.get(index), classes.of_history(index), settings))
        .collect();
    Fits { classes, fits }
}

/// Fits one history by the model the pipeline asks for, with what its class lends.
pub(super) fn fit_one(history: &History<'_>, class: &ClassParameters, settings: &DriftSettings) -> Fit {
    match settings.model {
        ModelName::State => fit_state(history, class, settings),
        ModelName::Wander => fit_wander(history, settings),
        model => fit_history(history, settings, model),
    }
}
