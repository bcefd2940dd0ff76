/*! What every drift model answers: the fit of a history, its forecast, the level through the past,
and what its tests leave out. */

use super::choose::Candidate;
use super::class::parameters::ClassParameters;
use super::diagnostics::tests::Diagnostics;
use super::series::readings::Reading;
use super::suspect::Suspect;
use super::{DriftSettings, Fit, ModelName, Prediction};
use crate::records::History;

/// What a model is fitted to.
#[derive(Clone, Copy)]
pub(crate) struct Case<'a> {
    pub history: &'a History<'a>,
    /// What its class lends; `None` where it stands alone.
    pub class: Option<&'a ClassParameters>,
    /// The settings of drift.
    pub settings: &'a DriftSettings,
    /// All models, among which `auto` chooses.
    pub models: &'a [&'static dyn DriftModel],
}

/// A drift model: one file that implements this, and one line of the list in
/// [`super::model_name`].
pub(crate) trait DriftModel: Sync {
    /// The name in settings and tables.
    fn name(&self) -> ModelName;

    /// Fits a history, with the tests, suspects and notes that the model has.
    fn fit(&self, case: &Case<'_>) -> Fit;

    /// As [`DriftModel::fit`], but for what only a reader needs: its forecast is the same.
    fn forecast(&self, case: &Case<'_>) -> Fit;

    /// Level at each of `xs` in the past, given all readings, where `fit` is this model's; empty
    /// where there is none.
    fn past(&self, _case: &Case<'_>, fit: &Fit, xs: &[f64]) -> Vec<Option<Prediction>> {
        xs.iter().map(|x| fit.fitted(*x)).collect()
    }

    /// The model as one of those that `auto` chooses from; `None` where it does not compete.
    fn candidate(&self, _case: &Case<'_>, _readings: &[Reading]) -> Option<Candidate> {
        None
    }

    /// Readings that lie far off a fit that `auto` chose, most extreme first.
    fn suspects(&self, readings: &[Reading], found: &Diagnostics) -> Vec<Suspect> {
        let outliers = found.outliers.iter();
        outliers
            .filter_map(|outlier| Suspect::of(outlier, readings))
            .collect()
    }

    /// True where the model knows the level that an event left although nobody read it.
    fn knows_unread_levels(&self) -> bool {
        false
    }

    /// Why there are no tests of a season and of changes.
    fn untested(&self) -> Untested {
        Untested::default()
    }
}

/// Why tests are missing from the table of fits.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Untested {
    /// Why there is no test of a season.
    pub annual: &'static str,
    /// Why there is no search for changes.
    pub changes: &'static str,
}

impl Default for Untested {
    fn default() -> Self {
        Self {
            annual: "tested for the straight line only",
            changes: "searched about the straight line only",
        }
    }
}
