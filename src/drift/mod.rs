/*! Drift of one history: models, fits and what they predict.

Data flow: [`fill_readings`] turns a history into one stream of readings with
segments; a model fits them; [`Fit::at`] answers for any date.
*/

pub mod adoption;
mod adoption_words;
pub mod bands;
mod borrowed;
pub mod change;
pub mod choose;
mod classes;
mod classes_basis;
mod classes_count;
mod classes_fit;
mod classes_likelihood;
mod classes_members;
mod classes_sample;
mod classes_search;
mod classes_swing;
mod classes_tops;
mod course;
pub mod crossing;
mod curve_fit;
pub mod design;
pub mod diagnostics;
mod doubt;
pub mod excess;
mod findings;
mod fit;
mod fit_model;
#[cfg(test)]
mod history_checks;
mod history_fit;
pub mod least_squares;
mod left;
pub mod line;
mod line_fit;
mod line_pass;
mod marginal;
mod missing;
mod next_u;
mod notes;
pub mod outliers;
pub mod own_scatter;
mod passed;
mod past_adoptions;
mod pooled;
mod pooled_drift;
mod prediction;
#[cfg(test)]
mod properties;
mod rare_excess;
mod reading_part;
mod readings;
pub mod recent_scatter;
#[cfg(test)]
mod reference;
#[cfg(test)]
mod reference_checks;
pub mod regression;
pub mod robust;
pub mod segments;
mod shared_u;
mod state;
mod state_fit;
mod state_smooth;
mod state_walk;
mod surprise;
mod surprise_words;
mod suspects;
mod swing;
pub mod trend;
mod unconfirmed;
mod use_rate;
mod wander;
mod wander_fit;
mod wander_jet;
mod wander_likelihood;
mod wander_mixture;
mod wander_suspects;
#[cfg(test)]
mod weighted_checks;
mod year_dates;

pub use borrowed::Borrow;
pub use choose::Candidate;
pub use classes::{
    ClassParameters, Classes, Node, Rates, Scale, basis_of, class_parameters, class_parameters_by,
    classmates, parameters_of,
};
pub use classes_basis::Basis;
pub use classes_swing::ClassSwing;
pub use course::Course;
pub use crossing::{Crossing, crossing, single_crossing};
pub use diagnostics::{Diagnostics, diagnose};
pub use findings::{flags, missing};
pub use fit::{Choice, Coefficient, Fit, ModelName, Motion, Status};
pub use fit_model::{fit_forecast, fit_model};
pub use history_fit::{MoreModels, fit_history, fit_history_with, fit_readings, shared_u};
pub use left::Left;
pub use line_fit::from_line;
pub use missing::Missing;
pub use past_adoptions::{PastAdoption, past_adoptions};
pub use pooled::{BorrowedLine, LineSums, PooledLines, pool_lines};
pub use pooled_drift::{BorrowedDrift, PooledDrift, pool_drifts};
pub use prediction::Prediction;
pub use readings::{Axis, Reading, Unread, fill_readings, unread_end};
pub use state::{Belief, Innovation, StateFilter, StateForecast};
pub use state_fit::fit_state;
pub use state_smooth::{smoothed, smoothed_wander};
pub use surprise::{Meaning, Surprises};
pub use suspects::{Suspect, without};
pub use swing::{Swing, swing};
pub use unconfirmed::{LastReading, last_reading};
pub use use_rate::UseRate;
pub use wander::{WanderError, WanderFit, fit_wander_readings};
pub use wander_fit::{Innovations, fit_wander, innovations};
pub use wander_likelihood::Likelihood;
pub use wander_mixture::mixed_forecast;

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
