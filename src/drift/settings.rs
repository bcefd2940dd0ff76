/*! The settings of drift: which model, over what, and the level of its bands. */

use super::model_name::ModelName;
use super::series::readings::Axis;
use crate::settings::SettingError;

/// Whether straight lines borrow strength.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Borrow {
    /// Each history stands alone.
    #[default]
    None,
    /// The lines of a class share a distribution of levels and drifts.
    Class,
}

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
