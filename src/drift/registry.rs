/*! Every drift model by its name, and the one door to a fit: whichever model the settings name. */

use super::class::parameters::ClassParameters;
use super::model::{Case, DriftModel};
use super::model_name::drift_models;
use super::prediction::average;
use super::series::readings::unread_end;
use super::{DriftSettings, Fit, ModelName, Prediction};
use crate::records::History;

macro_rules! implementations {
    ($($(#[$about:meta])* $name:ident $word:literal = $($model:ident)::+;)*) => {
        /// All models.
        const MODELS: &[&dyn DriftModel] = &[$(&super::$($model)::+),*];

        /// The model of this name.
        pub(super) fn model_of(name: ModelName) -> &'static dyn DriftModel {
            match name {
                $(ModelName::$name => &super::$($model)::+,)*
            }
        }
    };
}

drift_models!(implementations);

/// Fits the model of `settings` to one history; `class` lends to the state model, which is
/// also one of the candidates of `auto`.
pub fn fit_model(history: &History<'_>, class: &ClassParameters, settings: &DriftSettings) -> Fit {
    let case = case_of(history, Some(class), settings);
    let mut fit = match standing_in(history, settings) {
        None => model_of(settings.model).fit(&case),
        Some(other) => {
            let mut fit = other.fit(&case);
            fit.notes.push(format!(
                "model {} needs a level, and the one left at the last event was not kept: the {} model takes it from the class",
                settings.model.word(),
                other.name().word()
            ));
            fit
        }
    };
    let grid = history.item.grid.filter(|_| fit.readings > 0);
    fit.notes
        .extend(grid.map(|grid| grid.sentence(&history.item.unit)));
    fit
}

/// As [`fit_model`], but for what only a reader needs: no tests, no suspects, fewer notes.
/// Its forecast is the same.
pub(crate) fn fit_forecast(
    history: &History<'_>,
    class: &ClassParameters,
    settings: &DriftSettings,
) -> Fit {
    let model = standing_in(history, settings).unwrap_or(model_of(settings.model));
    model.forecast(&case_of(history, Some(class), settings))
}

/// Fits `model` to a history that stands alone.
pub(crate) fn fit_history(
    history: &History<'_>,
    settings: &DriftSettings,
    model: ModelName,
) -> Fit {
    model_of(model).fit(&case_of(history, None, settings))
}

/// The level that `fit` gives to each of `xs` in the past, given all readings of the history;
/// each model by itself where the fit is an average, empty where there is no level.
pub(crate) fn level_in_the_past(
    history: &History<'_>,
    class: Option<&ClassParameters>,
    settings: &DriftSettings,
    fit: &Fit,
    xs: &[f64],
) -> Vec<Option<Prediction>> {
    if fit.parts().is_empty() {
        let case = case_of(history, class, settings);
        return model_of(fit.model).past(&case, fit, xs);
    }
    let level = |part: &Fit| level_in_the_past(history, class, settings, part, xs);
    let parts = fit.parts().iter();
    let levels: Vec<_> = parts.map(|(weight, part)| (*weight, level(part))).collect();
    let at = |i: usize| {
        let part =
            |(weight, levels): &(f64, Vec<Option<Prediction>>)| Some((*weight, *levels.get(i)?));
        average(&levels.iter().map(part).collect::<Option<Vec<_>>>()?)
    };
    (0..xs.len()).map(at).collect()
}

fn case_of<'a>(
    history: &'a History<'a>,
    class: Option<&'a ClassParameters>,
    settings: &'a DriftSettings,
) -> Case<'a> {
    Case {
        history,
        class,
        settings,
        models: MODELS,
    }
}

/// Where the record ends with an event whose value left was not kept, the model that can tell
/// the level all the same, since its class lends it; `None` where the model of the settings can.
fn standing_in(history: &History<'_>, settings: &DriftSettings) -> Option<&'static dyn DriftModel> {
    let own = model_of(settings.model);
    let lost = !own.knows_unread_levels()
        && history.as_found.iter().any(|value| value.is_finite())
        && unread_end(history, settings.axis).is_some();
    let mut models = MODELS.iter().copied();
    models.find(|model| lost && model.knows_unread_levels())
}
