/*! Drift of one history: models, fits and what they predict.

Data flow: [`fill_readings`] turns a history into one stream of readings with
segments; a model fits them; [`Fit::at`] answers for any date.
*/

pub(crate) mod adoption;
pub mod choose;
pub(crate) mod class;
mod course;
pub mod crossing;
pub(crate) mod diagnostics;
mod fit;
mod fit_model;
mod history_fit;
pub(crate) mod pooled;
mod prediction;
#[cfg(test)]
mod properties;
#[cfg(test)]
mod reference;
#[cfg(test)]
mod reference_checks;
pub(crate) mod regression;
pub(crate) mod series;
pub(crate) mod state;
pub(crate) mod wander;
#[cfg(test)]
mod weighted_checks;

pub use adoption::past::{PastAdoption, past_adoptions};
pub use choose::Candidate;
pub use class::basis::Basis;
pub use class::classes::{
    ClassParameters, Classes, Node, Rates, Scale, basis_of, class_parameters, class_parameters_by,
    classmates, parameters_of,
};
pub use class::left::Left;
pub use class::missing::Missing;
pub use class::swing::ClassSwing;
pub use course::Course;
pub use crossing::{Crossing, crossing, single_crossing};
pub use diagnostics::findings::{flags, missing};
pub use diagnostics::suspects::{Suspect, without};
pub use diagnostics::tests::{Diagnostics, diagnose};
pub use diagnostics::unconfirmed::{LastReading, last_reading};
pub use fit::{Choice, Coefficient, Fit, ModelName, Motion, Status};
pub use fit_model::{fit_forecast, fit_model};
pub use history_fit::{MoreModels, fit_history, fit_history_with, fit_readings, shared_u};
pub use pooled::borrowed::Borrow;
pub use pooled::drifts::{BorrowedDrift, PooledDrift, pool_drifts};
pub use pooled::lines::{BorrowedLine, LineSums, PooledLines, pool_lines};
pub use prediction::Prediction;
pub use regression::line::fit as fit_line_readings;
pub use regression::line_fit::from_line;
pub use series::readings::{Axis, Reading, Unread, fill_readings, unread_end};
pub use series::use_rate::UseRate;
pub use state::filter::{Belief, Innovation, StateFilter, StateForecast};
pub use state::fit::fit_state;
pub use state::smooth::{smoothed, smoothed_wander};
pub use state::surprise::{Meaning, Surprises};
pub use state::swing::{Swing, swing};
pub use wander::fit::{Innovations, fit_wander, innovations};
pub use wander::likelihood::Likelihood;
pub use wander::mixture::mixed_forecast;
pub use wander::model::{WanderError, WanderFit, fit_wander_readings};

use crate::settings::SettingError;

crate::settings! {
    /// Drift model and its bands.
    pub struct DriftSettings in "drift" {
        /// Drift model: state, constant, line, quadratic, polynomial, wander, season or auto (state or wander, whichever the readings support).
        model: ModelName = ModelName::State,
        /// Degree of the polynomial, 0 to 10 (model = "polynomial" only).
        degree: u32 = 3,
        /// False for a curve through zero at no use (axis = "usage"; model = "line", "quadratic" or "polynomial").
        intercept: bool = true,
        /// Straight lines borrow from those of their class: none or class (model = "line" only).
        borrow: Borrow = Borrow::None,
        /// Axis of the drift: time (years) or usage (the unit of the usage column).
        axis: Axis = Axis::Time,
        /// Level of the confidence and prediction bands, above 0 and below 1.
        level: f64 = 0.95,
    }
}

impl DriftSettings {
    /// Values that parse but cannot be used.
    pub fn check(&self) -> Vec<SettingError> {
        let mut errors = Vec::new();
        if self.degree > 10 {
            let message = format!("degree {} is above 10", self.degree);
            errors.push(SettingError::new("drift", "degree", message));
        }
        errors.extend(self.without_intercept());
        if self.borrow == Borrow::Class && self.model != ModelName::Line {
            let message = match self.model {
                ModelName::State => "the state model borrows by itself; leave borrow out".into(),
                model => format!(
                    "borrow = \"class\" needs model = \"line\", not \"{}\"",
                    model.word()
                ),
            };
            errors.push(SettingError::new("drift", "borrow", message));
        }
        if !(self.level > 0.0 && self.level < 1.0) {
            let message = format!("level {} is not between 0 and 1", self.level);
            errors.push(SettingError::new("drift", "level", message));
        }
        errors
    }

    /// Why there can be no curve through zero, where one is asked for.
    fn without_intercept(&self) -> Option<SettingError> {
        let curves = [ModelName::Line, ModelName::Quadratic, ModelName::Polynomial];
        let message = match self.model {
            _ if self.intercept => return None,
            model if !curves.contains(&model) => format!(
                "intercept = false needs model = \"line\", \"quadratic\" or \"polynomial\", not \"{}\"",
                model.word()
            ),
            ModelName::Polynomial if self.degree == 0 => {
                "intercept = false leaves nothing of a polynomial of degree 0".into()
            }
            _ if self.axis != Axis::Usage => {
                "intercept = false needs axis = \"usage\": no date is the zero of time".into()
            }
            _ if self.borrow == Borrow::Class => {
                "intercept = false cannot borrow from a class; leave borrow out".into()
            }
            _ => return None,
        };
        Some(SettingError::new("drift", "intercept", message))
    }
}
