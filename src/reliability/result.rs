/*! What the outcomes of one group say: the result that tables, pages and methods read. */

use super::TargetKind;
use super::bins::Bin;
use super::compare::{LackOfFit, NestedTest};
use super::fit::LifeFit;
use super::models::LifeModelName;
use super::monotone::Step;
use super::outcomes::Outcomes;
use super::why_not::WhyNot;
use crate::words::not_applicable;
use serde::{Deserialize, Serialize};

/// R at one time with two-sided profile limits.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub(crate) struct CurvePoint {
    /// Days since renewal.
    pub days: f64,
    /// R(t) of the chosen model.
    pub reliability: f64,
    /// Lower limit.
    pub lower: f64,
    /// Upper limit.
    pub upper: f64,
}

/// What the outcomes of one group say.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct GroupReliability {
    /// Group of the register; for items without one, point and unit.
    pub group: String,
    /// Histories in the group.
    pub histories: u64,
    /// Their outcomes.
    pub outcomes: Outcomes,
    /// Every model that could be fitted.
    pub fits: Vec<LifeFit>,
    /// Models that could not, with the reason.
    pub not_fitted: Vec<(LifeModelName, WhyNot)>,
    /// Index of the chosen fit: the smallest AICc.
    pub chosen: Option<usize>,
    /// Indices of the fits that the records do not tell from it, itself included.
    pub tied: Vec<usize>,
    /// Likelihood-ratio tests of nested models.
    pub tests: Vec<NestedTest>,
    /// Lack of fit of the chosen model; `Err` says why there is no test.
    pub lack_of_fit: Result<LackOfFit, WhyNot>,
    /// R(t) of the chosen model with limits.
    pub curve: Vec<CurvePoint>,
    /// Interval at the target asked for.
    pub interval: GroupInterval,
    /// The share in tolerance at a few ages without a model, with exact limits.
    pub bins: Vec<Bin>,
    /// R(t) without a model.
    pub steps: Vec<Step>,
    /// What a reader should know, in order of weight.
    pub sentences: Vec<String>,
    /// What targets of this group speak about.
    pub target_kind: TargetKind,
    /// Confidence level of all limits.
    pub level: f64,
}

impl GroupReliability {
    pub(crate) fn chosen_fit(&self) -> Option<&LifeFit> {
        self.chosen.map(|index| &self.fits[index])
    }

    /// Longest time since renewal at a check, days.
    pub(crate) fn longest_days(&self) -> Option<f64> {
        self.outcomes.checks().last().map(|(days, _, _)| days)
    }
}

/// What an interval rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) enum Basis {
    /// A fitted life model.
    Fitted(LifeModelName),
    /// Exact bound without a model.
    Demonstrated,
    /// Nothing: there is no interval.
    Nothing,
}

/// Interval of a group at one target, days.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct GroupInterval {
    pub target: f64,
    /// The interval; `None` = not applicable, `why` says why not.
    pub days: Option<f64>,
    /// Two-sided profile limits; the upper may be infinite.
    pub limits_days: Option<(f64, f64)>,
    /// One-sided lower profile limit.
    pub lower_days: Option<f64>,
    /// Smallest and largest interval of the models that the records do not tell apart.
    pub model_spread_days: Option<(f64, f64)>,
    /// True where the interval lies beyond the longest time seen.
    pub extrapolated: bool,
    /// What it rests on.
    pub basis: Basis,
    /// One sentence with the numbers; without an interval, why there is none.
    pub why: String,
}

impl GroupInterval {
    /// Placeholder until the fits of a group are gathered.
    pub(super) fn unasked(target: f64) -> Self {
        Self::none(target, "it was not asked for")
    }

    pub(super) fn none(target: f64, because: impl std::fmt::Display) -> Self {
        Self {
            target,
            days: None,
            limits_days: None,
            lower_days: None,
            model_spread_days: None,
            extrapolated: false,
            basis: Basis::Nothing,
            why: because.to_string(),
        }
    }

    /// The sentence, or that R(t) is not applicable, and why.
    pub(crate) fn reason(&self) -> String {
        match self.days {
            Some(_) => self.why.clone(),
            None => not_applicable(&self.why),
        }
    }
}
