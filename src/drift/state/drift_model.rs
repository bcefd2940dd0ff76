/*! The state model as a drift model. */

use super::fit::{fit_state, fit_state_screened, tell};
use super::marginal::state_candidate;
use super::smooth::smoothed;
use crate::drift::choose::Candidate;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::diagnostics::suspects::suspects_of_state;
use crate::drift::model::{Case, DriftModel, Untested};
use crate::drift::per_year::in_years;
use crate::drift::regression::straight_line::STRAIGHT_LINE;
use crate::drift::series::readings::Reading;
use crate::drift::{Fit, ModelName, Prediction};

pub(crate) const STATE: StateModel = StateModel;

/// See [`STATE`].
pub(crate) struct StateModel;

impl DriftModel for StateModel {
    fn name(&self) -> ModelName {
        ModelName::State
    }

    /// The straight line, where no class was learned.
    fn fit(&self, case: &Case<'_>) -> Fit {
        let Some(class) = case.class else {
            return STRAIGHT_LINE.fit(case);
        };
        let fit = with_suspects(case, class);
        in_years(fit, case.history, case.settings)
    }

    fn forecast(&self, case: &Case<'_>) -> Fit {
        let Some(class) = case.class else {
            return STRAIGHT_LINE.forecast(case);
        };
        let fit = fit_state(case.history, class, case.settings);
        in_years(fit, case.history, case.settings)
    }

    fn past(&self, case: &Case<'_>, fit: &Fit, xs: &[f64]) -> Vec<Option<Prediction>> {
        let Some(class) = case.class else {
            return xs.iter().map(|x| fit.fitted(*x)).collect();
        };
        let levels = smoothed(case.history, class, case.settings, xs);
        levels.into_iter().map(Some).collect()
    }

    fn candidate(&self, case: &Case<'_>, readings: &[Reading]) -> Option<Candidate> {
        state_candidate(case.history, readings, case.class?, case.settings)
    }

    fn knows_unread_levels(&self) -> bool {
        true
    }

    fn untested(&self) -> Untested {
        Untested {
            annual: "the state model seeks a yearly swing itself and tells it",
            changes: "the state model follows steps and tells them",
        }
    }
}

/// The fit, with the readings that do not fit it.
fn with_suspects(case: &Case<'_>, class: &ClassParameters) -> Fit {
    let history = case.history;
    let (mut fit, mut screened) = fit_state_screened(history, class, case.settings);
    if screened.far {
        fit.suspects = suspects_of_state(history, class, case.settings);
    }
    // Of a suspect reading the suspicion is told, and not the filter's surprise beside it.
    let suspected = |row: u32| fit.suspects.iter().any(|suspect| suspect.row == row);
    screened
        .surprises
        .retain(|surprise| !suspected(surprise.row));
    tell(&mut fit, screened.surprises);
    let readings = fit.readings as usize;
    let sentences = fit.suspects.iter().map(|s| s.sentence(history, readings));
    let sentences: Vec<String> = sentences.collect();
    fit.notes.extend(sentences);
    fit
}
