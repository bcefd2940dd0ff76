/*! The drift stage: every history fitted by the model the pipeline asks for. */

use crate::drift::class::basis::Basis;
use crate::drift::class::classes::{class_parameters_by, parameters_of};
use crate::drift::class::fits::Fits;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::{DriftSettings, fit_model};
use crate::ledger::memory::{Memory, key_of};
use crate::records::Histories;
use rayon::prelude::*;

/// Fits all histories on all cores, classes that `memory` knows taken over; the order of the
/// result is that of the histories.
pub(crate) fn fit_all(histories: &Histories, settings: &DriftSettings, memory: &Memory) -> Fits {
    let classes = class_parameters_by(histories, |basis| recall_class(basis, settings, memory));
    let fits = (0..histories.len())
        .into_par_iter()
        .map(|index| fit_model(&histories.get(index), classes.of_history(index), settings))
        .collect();
    Fits { classes, fits }
}

/// Parameters of a class, taken over where `memory` knows them.
pub(super) fn recall_class(
    basis: &Basis<'_>,
    settings: &DriftSettings,
    memory: &Memory,
) -> ClassParameters {
    let apart = (settings, basis.step, basis.by_tolerance, basis.before);
    let key = || key_of("class", &apart, basis.histories.iter().copied());
    memory.recall(key, || parameters_of(basis, settings))
}
