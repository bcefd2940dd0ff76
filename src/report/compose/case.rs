/*! One history with everything that was found for it: what a page or a chart is made of. */

use super::cost::Cost;
use super::drawn::Drawn;
use super::past::PastPoint;
use crate::control::{ControlSettings, ItemChart, RunLengths};
use crate::decisions::conformity_now::LastCheck;
use crate::decisions::policy::Decision;
use crate::drift::series::readings::Axis;
use crate::drift::{Fit, Prediction};
use crate::impact::JobDoubt;
use crate::intervals::Proposal;
use crate::records::History;
use crate::report::SectionView;
use crate::thermometry::advice::AdviceKind;

/// One history with its fit, proposals and decision.
#[derive(Debug, Clone)]
pub(crate) struct Case<'a> {
    /// The checks and the item.
    pub history: History<'a>,
    /// The fitted drift.
    pub fit: &'a Fit,
    pub decision: &'a Decision,
    /// Every method's proposal.
    pub proposals: &'a [Proposal],
    /// The fit through the past.
    pub past: &'a [PastPoint],
    /// Predicted values by date (days since 1970-01-01).
    pub forecast: &'a [(f64, Prediction)],
    /// Tests about the straight line, as a part of the page.
    pub tests: Option<SectionView>,
    /// Warnings of the screening that concern this history.
    pub warnings: &'a [String],
    /// Past work in doubt after a failed check.
    pub doubts: &'a [JobDoubt],
    /// The chain of the decision in words.
    pub explanation: &'a [SectionView],
    /// Advice of the sessions on a thermometer, where there is any.
    pub advised: Option<AdviceKind>,
    /// The last check by the rule, as far as it carries a statement.
    pub last_check: Option<LastCheck>,
    /// The control chart, where the history is charted, and its settings.
    pub control: (Option<&'a ItemChart>, &'a ControlSettings),
    /// What a control chart of these settings is worth.
    pub run_lengths: Option<&'a RunLengths>,
    /// What the interval costs, where costs are given.
    pub cost: Option<Cost>,
    /// Axis of the drift.
    pub axis: Axis,
    /// Level of both bands.
    pub level: f64,
    /// The as-of date, days since 1970-01-01.
    pub as_of: f64,
}

impl<'a> Case<'a> {
    /// The part of it that is drawn along the axis.
    pub(crate) fn drawn(&self) -> Drawn<'a> {
        Drawn {
            history: self.history,
            fit: self.fit,
            decision: self.decision,
            past: self.past,
            axis: self.axis,
            level: self.level,
            as_of: self.as_of,
        }
    }
}
