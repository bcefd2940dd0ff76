/*! Drift of one history: models, fits and what they predict.

Data flow: `fill_readings` turns a history into one stream of readings with
segments; a model fits them; [`Fit::at`] answers for any date.
*/

pub(crate) mod adoption;
mod auto;
pub(crate) mod choose;
pub(crate) mod class;
mod course;
pub(crate) mod diagnostics;
pub(crate) mod figures;
mod fit;
mod model;
mod model_name;
mod per_year;
pub(crate) mod pooled;
pub(crate) mod prediction;
#[cfg(test)]
mod properties;
#[cfg(test)]
mod reference;
#[cfg(test)]
mod reference_checks;
mod registry;
pub(crate) mod regression;
pub(crate) mod series;
mod settings;
pub(crate) mod source;
pub(crate) mod state;
pub(crate) mod stated_groups;
mod status;
mod suspect;
#[cfg(test)]
pub(crate) mod testing;
pub(crate) mod wander;
#[cfg(test)]
mod weighted_checks;

pub use class::classes::class_parameters;
pub(crate) use class::classes::{Classes, basis_of, parameters_of};
pub(crate) use course::Course;
pub use fit::Fit;
pub(crate) use fit::{Coefficient, Curve};
pub use model_name::ModelName;
pub use prediction::Prediction;
pub use registry::fit_model;
pub(crate) use registry::{fit_forecast, fit_history, level_in_the_past};
pub use regression::line::fit as fit_line_readings;
pub use series::readings::Reading;
pub use settings::DriftSettings;
pub(crate) use settings::YEARS_PER_STEP;
pub use state::fit::fit_state;
pub(crate) use status::Status;
pub(crate) use suspect::Suspect;
pub use wander::likelihood::Likelihood;
pub use wander::mixture::mixed_forecast;
pub use wander::model::fit_wander_readings;
