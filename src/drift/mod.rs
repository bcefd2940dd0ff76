/*! Drift of one history: models, fits and what they predict.

Data flow: [`fill_readings`] turns a history into one stream of readings with
segments; a model fits them; [`Fit::at`] answers for any date.
*/

mod classes;
mod classes_fit;
mod classes_likelihood;
pub mod crossing;
mod fit;
pub mod influence;
pub mod least_squares;
pub mod line;
pub mod polynomial;
mod pooled;
mod prediction;
mod readings;
mod state;
mod state_fit;
mod state_smooth;
mod wander;
mod wander_fit;
mod wander_jet;
mod wander_likelihood;

pub use classes::{ClassParameters, Classes, Node, Rates, Scale, class_parameters};
#[cfg(test)]
mod reference;

pub use crossing::{Crossing, crossing, single_crossing};
pub use fit::{Coefficient, Fit, ModelName, Motion, Status};
pub use pooled::{BorrowedLine, LineSums, PooledLines, pool_lines};
pub use prediction::Prediction;
pub use readings::{Axis, Reading, fill_readings};
pub use state::{Belief, Innovation, StateFilter, StateForecast};
pub use state_fit::fit_state;
pub use state_smooth::{smoothed, smoothed_wander};
pub use wander::{WanderError, WanderFit, fit_wander_readings};
pub use wander_fit::{Innovations, fit_wander, innovations};
pub use wander_likelihood::Likelihood;

crate::settings! {
    /// Drift model and its bands.
    pub struct DriftSettings in "drift" {
        /// Drift model: state, constant, line, quadratic, polynomial, wander, season or auto.
        model: ModelName = ModelName::State,
        /// Degree of the polynomial, 0 to 9 (model = "polynomial" only).
        degree: u32 = 3,
        /// Axis of the drift: time (years) or usage (the unit of the usage column).
        axis: Axis = Axis::Time,
        /// Level of the confidence and prediction bands, above 0 and below 1.
        level: f64 = 0.95,
    }
}
