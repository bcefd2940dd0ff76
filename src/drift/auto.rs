/*! The choice among models as a drift model: state or wander, whichever the readings support. */

use super::choose::best;
use super::model::{Case, DriftModel};
use super::per_year::in_years;
use super::regression::curves::{OfReadings, finish, nothing_to_fit, readings_of};
use super::regression::shared_u::shared_u;
use super::regression::straight_line::STRAIGHT_LINE;
use super::series::readings::Reading;
use super::{DriftSettings, Fit, ModelName};
use crate::words::count;

/// The choice.
pub(crate) const AUTO: Auto = Auto;

/// See [`AUTO`].
pub(crate) struct Auto;

impl DriftModel for Auto {
    fn name(&self) -> ModelName {
        ModelName::Auto
    }

    fn fit(&self, case: &Case<'_>) -> Fit {
        let (readings, unread) = readings_of(case);
        let mut fit = chosen(case, &readings);
        let name = fit.model;
        let model = case.models.iter().find(|model| model.name() == name);
        let model = model.copied().unwrap_or(&STRAIGHT_LINE);
        finish(&mut fit, case, model, &readings, unread);
        fit
    }

    fn forecast(&self, case: &Case<'_>) -> Fit {
        let (readings, unread) = readings_of(case);
        let mut fit = chosen(case, &readings);
        if unread.is_some() {
            fit.lose_level();
        }
        fit
    }
}

fn chosen(case: &Case<'_>, readings: &[Reading]) -> Fit {
    if readings.is_empty() {
        return nothing_to_fit(case.history, case.settings.axis);
    }
    // The last of the list first: of criteria that tie, that of the first stands.
    let models = case.models.iter().rev();
    let candidates = models.filter_map(|model| model.candidate(case, readings));
    let fit = best(candidates.collect(), readings.len()).unwrap_or_else(|| {
        line_for_want_of_a_choice(readings, shared_u(case.history), case.settings)
    });
    in_years(fit, case.history, case.settings)
}

/// The straight line, where none of the models to choose from can answer.
pub(super) fn line_for_want_of_a_choice(
    readings: &[Reading],
    u_common: f64,
    settings: &DriftSettings,
) -> Fit {
    let mut fit = STRAIGHT_LINE.fit_readings(readings, u_common, settings);
    fit.notes.push(format!(
        "{} cannot decide between models; the straight line is used",
        count(readings.len(), "reading")
    ));
    fit
}
