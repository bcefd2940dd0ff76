/*! The drift stage: every history fitted by the model the pipeline asks for. */

use super::between::{Memory, key_of};
use crate::drift::{Classes, DriftSettings, Fit, class_parameters_by, fit_model, parameters_of};
use crate::records::Histories;
use rayon::prelude::*;

/// The classes and one fit a history, in the histories' order.
#[derive(Debug, Clone, Default)]
pub struct Fits {
    /// What each class lends its members.
    pub classes: Classes,
    /// One fit a history.
    pub fits: Vec<Fit>,
}

/// Fits all histories on all cores, classes that `memory` knows taken over; the order of the
/// result is that of the histories.
pub fn fit_all(histories: &Histories, settings: &DriftSettings, memory: &Memory) -> Fits {
    let classes = class_parameters_by(histories, |members| {
        let key = || key_of("class", settings, histories, members);
        memory.recall(key, || parameters_of(histories, members, settings))
    });
    let fits = (0..histories.len())
        .into_par_iter()
        .map(|index| fit_model(&histories.get(index), classes.of_history(index), settings))
        .collect();
    Fits { classes, fits }
}
