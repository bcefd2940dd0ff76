/*! The settings of drift: which model, over what, and the level of its bands. */

use super::model_name::ModelName;
use super::series::readings::Axis;
use crate::settings::SettingError;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Years in which one sudden step is believed in where nobody states it: our own choice, no
/// source; two thirds of the steps that a yearly interval at a target of 0.95 bears.
pub(crate) const YEARS_PER_STEP: f64 = 30.0;

/// Fewer years would leave no interval, more are beyond any record.
const FEWEST_YEARS: f64 = 1.0;
const MOST_YEARS: f64 = 10_000.0;

/// Whether straight lines are pooled with those of their class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
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
        /// Item-years in which one sudden step is believed in before the class has shown any, as your trade knows them (model = "state"): 12 where they are frequent, 300 where there are hardly any; 30 is our own choice. The record of the class counts beside it.
        years_per_step: f64 = YEARS_PER_STEP => at_least(FEWEST_YEARS).at_most(MOST_YEARS),
        /// The same for one group: [drift.group."NAME"] with years_per_step.
        group: BTreeMap<String, GroupDrift> = BTreeMap::new(),
    }
    together DriftSettings::together
}

/// What one group may state for itself; what it leaves out is as in `[drift]`.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct GroupDrift {
    /// Item-years in which one sudden step is believed in before any is seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub years_per_step: Option<f64>,
}

impl DriftSettings {
    /// Years in which one sudden step is believed in among items of `group` before any is seen.
    pub(crate) fn years_per_step_of(&self, group: &str) -> f64 {
        let own = self.group.get(group).and_then(|own| own.years_per_step);
        own.unwrap_or(self.years_per_step)
    }

    /// Groups that state what cannot be used.
    fn wrong_groups(&self) -> impl Iterator<Item = SettingError> {
        let allowed = FEWEST_YEARS..=MOST_YEARS;
        let wrong = move |own: &GroupDrift| {
            own.years_per_step
                .is_some_and(|years| !allowed.contains(&years))
        };
        let told = |name: &String| {
            let message = format!(
                "group \"{name}\" states years_per_step outside {FEWEST_YEARS} to {MOST_YEARS}"
            );
            SettingError::new("drift", "group", message)
        };
        let groups = self.group.iter().filter(move |(_, own)| wrong(own));
        groups.map(move |(name, _)| told(name))
    }

    /// Values that do not go together.
    pub(crate) fn together(&self) -> Vec<SettingError> {
        let mut errors: Vec<_> = self.without_intercept().into_iter().collect();
        errors.extend(self.wrong_groups());
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
