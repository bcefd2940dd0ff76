/*! The tables of a pipeline file that decisions are made by. */

use super::PolicySettings;
use crate::conformity::ConformitySettings;
use crate::intervals::{IntervalSettings, Method, MethodTables};

/// Every table that a decision is made by: `[intervals]`, one a method that has settings,
/// `[policy]`, `[conformity]`.
#[derive(Debug, Clone, Default, PartialEq)]
#[allow(missing_docs)]
pub struct DecisionTables {
    pub intervals: IntervalSettings,
    pub methods: MethodTables,
    pub policy: PolicySettings,
    pub conformity: ConformitySettings,
}

impl DecisionTables {
    /// The methods that `[intervals] methods` lists, in its order.
    pub(crate) fn methods(&self) -> Vec<Box<dyn Method>> {
        self.methods.asked_by(&self.intervals)
    }
}
