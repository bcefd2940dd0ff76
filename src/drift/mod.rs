/*! Drift of one history: models, fits and what they predict.

Data flow: [`fill_readings`] turns a history into one stream of readings with
segments; a model fits them; [`Fit::at`] answers for any date.
*/

pub(crate) mod adoption;
mod auto;
pub mod choose;
pub(crate) mod class;
mod course;
pub mod crossing;
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
pub(crate) mod state;
mod status;
mod suspect;
pub(crate) mod wander;
#[cfg(test)]
mod weighted_checks;

pub use adoption::past::{PastAdoption, past_adoptions};
pub use choose::Candidate;
pub use class::annual::ClassAnnualTerm;
pub use class::basis::Basis;
pub use class::classes::{
    Classes, basis_of, class_parameters, class_parameters_by, classmates, parameters_of,
};
pub use class::left::Left;
pub use class::missing::Missing;
pub use class::parameters::ClassParameters;
pub use class::rates::{QuadraturePoint, Rates, Scale};
pub use course::Course;
pub use crossing::{Crossing, crossing, single_crossing};
pub use diagnostics::findings::{flags, missing};
pub use diagnostics::suspects::without;
pub use diagnostics::tests::{Diagnostics, diagnose};
pub use diagnostics::unconfirmed::{LastReading, last_reading};
pub use fit::{Choice, Coefficient, Curve, Fit, Motion};
pub use model::{Case, DriftModel, Untested};
pub use model_name::ModelName;
pub use pooled::drifts::{BorrowedDrift, PooledDrift, pool_drifts};
pub use pooled::lines::{BorrowedLine, LineSums, PooledLines, pool_lines};
pub use prediction::Prediction;
pub use registry::{fit_forecast, fit_history, fit_model, level_in_the_past};
pub use regression::line::fit as fit_line_readings;
pub use regression::line_fit::from_line;
pub use regression::shared_u::shared_u;
pub use series::readings::{Axis, Reading, Unread, fill_readings, unread_end};
pub use series::use_rate::UseRate;
pub use settings::{Borrow, DriftSettings};
pub use state::annual::{AnnualTerm, annual_term};
pub use state::estimate::StateEstimate;
pub use state::filter::StateFilter;
pub use state::fit::fit_state;
pub use state::forecast::StateForecast;
pub use state::innovation::Innovation;
pub use state::smooth::smoothed;
pub use state::surprise::{Meaning, Surprises};
pub use status::Status;
pub use suspect::Suspect;
pub use wander::fit::fit_wander;
pub use wander::innovations::{Innovations, innovations};
pub use wander::likelihood::Likelihood;
pub use wander::mixture::mixed_forecast;
pub use wander::model::{WanderError, WanderFit, fit_wander_readings};
pub use wander::smooth::smoothed_wander;
