/*! The drift stage: every history fitted by the model the pipeline asks for. */

use crate::drift::{Classes, DriftSettings, Fit, class_parameters, fit_model};
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

/// Fits all histories on all cores; the order of the result is that of the histories.
pub fn fit_all(histories: &Histories, settings: &DriftSettings) -> Fits {
    let classes = class_parameters(histories, settings);
    let fits = (0..histories.len())
        .into_par_iter()
        .map(|index| fit_model(&histories.get(index), classes.of_history(index), settings))
        .collect();
    Fits { classes, fits }
}
