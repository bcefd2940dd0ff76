/*! One-step residuals of a history's own model, for the strip under its chart. */

use crate::control::residuals;
use crate::decisions::stage::DecisionStage;
use crate::drift::ModelName;
use crate::drift::series::readings::Axis;

/// Checks up to which every prediction of the past is made anew: by one pass of the state model,
/// or by one fit each.
const MOST_WALKED: usize = 2_000;
const MOST_FITTED: usize = 300;

/// Place on the axis and residual of each reading of history `index` that earlier ones predict, in
/// standard deviations; empty for a history too long to predict it anew at each check.
pub(super) fn residuals_of(stage: &DecisionStage<'_>, index: usize) -> Vec<(f64, f64)> {
    let history = stage.histories.get(index);
    let most = match stage.drift.model {
        ModelName::State => MOST_WALKED,
        _ => MOST_FITTED,
    };
    if history.len() > most {
        return Vec::new();
    }
    let place = |row: usize| match stage.drift.axis {
        Axis::Time => history.date[row],
        Axis::Usage => history.usage[row],
    };
    let class = stage.fits.classes.of_history(index);
    let all = residuals(&history, class, stage.drift).into_iter();
    all.map(|r| (place(r.row), r.z))
        .filter(|(place, _)| place.is_finite())
        .collect()
}
