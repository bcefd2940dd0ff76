/*! The settings of drift: which model, over what, and the level of its bands. */

use super::model_name::ModelName;
use super::series::readings::Axis;
use crate::settings::SettingError;

/// Whether straight lines are pooled with those of their class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Pooling {
    /// Each history stands alone.
    #[default]
    None,
    /// The lines of a class share a distribution of levels and drifts.
    Class,
}

crate::settings! {
    /// Drift model and its bands.
    pub struct DriftSettings in "drift" {
        /// Drift model; auto is state or wander, whichever the readings support.
        model: ModelName = ModelName::State => OneOf(ModelName::ALL),
        /// Degree of the polynomial (model = "polynomial" only).
        degree: u32 = 3 => at_least(0.0).at_most(10.0),
        /// False for a curve through zero at no use (axis = "usage"; model = "line", "quadratic" or "polynomial").
        intercept: bool = true,
        /// Straight lines borrow from those of their class: none or class (model = "line" only).
        borrow: Pooling = Pooling::None,
        /// Axis of the drift: time (years) or usage (the unit of the usage column).
        axis: Axis = Axis::Time,
        /// Level of the confidence and prediction bands.
        level: f64 = 0.95 => PROBABILITY,
    }
    together DriftSettings::together
}

impl DriftSettings {
    /// Values that do not go together.
    fn together(&self) -> Vec<SettingError> {
        let mut errors: Vec<_> = self.without_intercept().into_iter().collect();
        if self.borrow == Pooling::Class && self.model != ModelName::Line {
            let message = match self.model {
                ModelName::State => "the state model borrows by itself; leave borrow out".into(),
                model => format!(
                    "borrow = \"class\" needs model = \"line\", not \"{}\"",
                    model.word()
                ),
            };
            errors.push(SettingError::new("drift", "borrow", message));
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
            _ if self.borrow == Pooling::Class => {
                "intercept = false cannot borrow from a class; leave borrow out".into()
            }
            _ => return None,
        };
        Some(SettingError::new("drift", "intercept", message))
    }
}
