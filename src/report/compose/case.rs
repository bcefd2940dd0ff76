/*! One history with everything that was found for it: what a page or a chart is made of. */

use super::cost::Cost;
use super::drawn::Drawn;
use crate::control::{ControlSettings, ItemChart, RunLengths};
use crate::decisions::conformity_now::LastCheck;
use crate::drift::Prediction;
use crate::impact::JobDoubt;
use crate::intervals::Proposal;
use crate::report::SectionView;
use crate::thermometry::advice::AdviceKind;

/// One history with its fit, proposals and decision.
#[derive(Debug, Clone)]
pub(crate) struct Case<'a> {
    /// Its readings, fit and decision, as they are drawn.
    pub drawn: Drawn<'a>,
    /// Every method's proposal.
    pub proposals: &'a [Proposal],
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
}
