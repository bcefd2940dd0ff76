/*! Conformity: from an error with its uncertainty to "inside the tolerance" or not.

A decision rule turns tolerance limits into acceptance limits: at them (simple), inside
them (guarded) or outside them (relaxed). The risk of each decision is stated beside it.
Source: JCGM 106:2012, clauses 7 to 9 (formulas from memory, figures recomputed);
rules with w a multiple of U: ILAC-G8:09/2019, clause 4.2.

Reliability statistics keep the unguarded in/out decision: a guard band on as-found
results makes "out" more frequent and would bias them.
*/

mod decision;
mod global;
mod guard;

pub use decision::{Conformity, Verdict, conformance_probability, decide, posterior};
pub use global::{GlobalRisks, Process, global_risks, process_deviation, risks_of_ratio};
pub use guard::{guard_factor_for_risk, managed_guard_factor};

use crate::settings::{SettingError, SettingsTable};
use serde::{Deserialize, Serialize};

/// How acceptance limits follow from tolerance limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RuleName {
    /// Acceptance limits are the tolerance limits.
    #[default]
    Simple,
    /// Acceptance limits lie inside by the guard band.
    Guarded,
    /// Acceptance limits lie outside by the guard band: rejected only if sure.
    Relaxed,
}

/// A decision rule: acceptance limit = tolerance limit, moved by `guard_factor`·U.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DecisionRule {
    /// Direction.
    pub name: RuleName,
    /// Width of the guard band in expanded uncertainties, w = r·U.
    pub guard_factor: f64,
    /// Coverage factor, U = k·u.
    pub coverage_factor: f64,
}

impl DecisionRule {
    /// Acceptance at the tolerance limits themselves.
    pub const SIMPLE: Self = Self {
        name: RuleName::Simple,
        guard_factor: 0.0,
        coverage_factor: 2.0,
    };

    /// Signed width of the guard band for standard uncertainty `u`: positive = inside.
    pub fn guard_band(&self, u: f64) -> f64 {
        let width = self.guard_factor * self.coverage_factor * u;
        match self.name {
            RuleName::Simple => 0.0,
            RuleName::Guarded => width,
            RuleName::Relaxed => -width,
        }
    }
}

crate::settings! {
    /// Decision rule for statements of conformity.
    pub struct ConformitySettings in "conformity" {
        /// Decision rule: simple, guarded or relaxed.
        rule: RuleName = RuleName::default(),
        /// Guard band as a multiple of U (1 = U; 0.83 as in ISO 14253-1, from memory).
        guard_factor: f64 = 1.0,
        /// Coverage factor k of U = k·u.
        coverage_factor: f64 = 2.0,
    }
}

impl ConformitySettings {
    /// The rule these settings describe.
    pub fn decision_rule(&self) -> DecisionRule {
        DecisionRule {
            name: self.rule,
            guard_factor: self.guard_factor,
            coverage_factor: self.coverage_factor,
        }
    }

    /// Values that parse but cannot be used.
    pub fn check(&self) -> Vec<SettingError> {
        let mut errors = Vec::new();
        let (guard, k) = (self.guard_factor, self.coverage_factor);
        if !(guard >= 0.0 && guard.is_finite()) {
            let message = format!("{guard} is not a width: give 0 or more, such as 1");
            errors.push(SettingError::new(Self::TABLE, "guard_factor", message));
        }
        if !(k > 0.0 && k.is_finite()) {
            let message = format!("{k} is not a coverage factor: give a number above 0, such as 2");
            errors.push(SettingError::new(Self::TABLE, "coverage_factor", message));
        }
        errors
    }
}

#[cfg(test)]
mod reference_tests;
