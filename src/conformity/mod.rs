/*! Conformity: from an error with its uncertainty to "inside the tolerance" or not.

A decision rule turns tolerance limits into acceptance limits, inside which a value is
conforming, and rejection limits, outside which it is nonconforming. What lies between is
indeterminate and asks for a person. The risk of each statement is stated beside it.
Source: JCGM 106:2012, clauses 7 to 9 (formulas from memory, figures recomputed);
rules with w a multiple of U: ILAC-G8:09/2019, clause 4.2.

Reliability statistics keep the unguarded in/out decision: a guard band on as-found
results makes "out" more frequent and would bias them.
*/

mod decision;
mod global;
mod last_good;
mod population;
mod risk_guard;

pub(crate) use decision::{Conformity, Estimate, statement};
pub use decision::{State, decide, state};
pub(crate) use global::GlobalRisks;
pub use global::{Process, global_risks};
pub(crate) use last_good::{LastGood, restored};
pub(crate) use population::{NoPopulation, Population, guard_for_risk};

use crate::records::Tolerance;
use crate::words::{percent, significant};
use serde::{Deserialize, Serialize};

crate::words::worded! {
    /// How acceptance limits follow from tolerance limits.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum RuleName with word {
        /// The value decides, but where a limit is too near for it to: `doubt_factor`·U.
        #[default]
        Simple = "simple",
        /// Conforming inside the limits by the guard band, nonconforming outside them by it.
        Guarded = "guarded",
        /// Nonconforming only outside the limits by the guard band, else conforming.
        Relaxed = "relaxed",
        /// Either statement only where it is wrong with probability `largest_risk` at most.
        Risk = "risk",
    }
}

/// A decision rule: how far acceptance and rejection limits lie from the tolerance limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DecisionRule {
    /// Kind.
    pub name: RuleName,
    /// Width of the guard band in expanded uncertainties, w = r·U.
    pub guard_factor: f64,
    /// Width of the zone about a limit in which a simple value decides nothing, in U.
    pub doubt_factor: f64,
    /// Coverage factor, U = k·u.
    pub coverage_factor: f64,
    /// Largest probability that a statement by risk is wrong.
    pub largest_risk: f64,
}

impl DecisionRule {
    /// The default rule.
    pub const SIMPLE: Self = Self {
        name: RuleName::Simple,
        guard_factor: 1.0,
        doubt_factor: 0.5,
        coverage_factor: 2.0,
        largest_risk: 0.05,
    };

    /// Distance of the acceptance limits from those of `tolerance` for standard uncertainty `u`:
    /// positive = inside.
    pub fn guard_band(&self, u: f64, tolerance: Tolerance) -> f64 {
        let expanded = self.coverage_factor * u;
        match self.name {
            RuleName::Simple => self.doubt_factor * expanded,
            RuleName::Guarded => self.guard_factor * expanded,
            RuleName::Relaxed => -self.guard_factor * expanded,
            RuleName::Risk => risk_guard::risk_guard(u, tolerance, self.largest_risk),
        }
    }

    /// The rule as a sentence names it.
    pub(crate) fn words(&self) -> String {
        let expanded = |factor: f64| format!("{} U", significant(factor, 3));
        match self.name {
            RuleName::Simple if self.doubt_factor == 0.0 => "simple acceptance".into(),
            RuleName::Simple => format!(
                "simple acceptance with a zone of {}",
                expanded(self.doubt_factor)
            ),
            RuleName::Guarded => {
                format!("guarded acceptance by {}", expanded(self.guard_factor))
            }
            RuleName::Relaxed => {
                format!("relaxed acceptance by {}", expanded(self.guard_factor))
            }
            RuleName::Risk => format!("acceptance at a risk of {}", percent(self.largest_risk)),
        }
    }
}

crate::settings! {
    /// Decision rule for statements of conformity.
    pub struct ConformitySettings in "conformity" {
        /// Decision rule: simple, guarded, relaxed or risk.
        rule: RuleName = RuleName::default(),
        /// Guard band as a multiple of U (1 = U; 0.83 as in ISO 14253-1, from memory).
        guard_factor: f64 = 1.0 => at_least(0.0),
        /// Rule simple: nearer to a limit than this multiple of U a value decides nothing; 0 = the value always decides (common practice of a zone, no source).
        doubt_factor: f64 = 0.5 => at_least(0.0),
        /// Coverage factor k of U = k·u.
        coverage_factor: f64 = 2.0 => above(0.0),
        /// Rule risk: largest probability that a statement is wrong (0.05 as in ISO 14253-1, from memory).
        largest_risk: f64 = 0.05 => above(0.0).below(0.5),
        /// Risk over the class of accepting an item outside that the stated guard factor meets (0.02: common practice, no source).
        largest_consumer_risk: f64 = 0.02 => above(0.0).below(0.5),
    }
}

impl ConformitySettings {
    /// The rule these settings describe.
    pub(crate) fn decision_rule(&self) -> DecisionRule {
        DecisionRule {
            name: self.rule,
            guard_factor: self.guard_factor,
            doubt_factor: self.doubt_factor,
            coverage_factor: self.coverage_factor,
            largest_risk: self.largest_risk,
        }
    }
}

#[cfg(test)]
mod reference_tests;
