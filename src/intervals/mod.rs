/*! Interval methods and the policy: from the evidence of one history to one explained decision.

[`Evidence`] gathers what a method may look at; each [`Method`] makes one
[`Proposal`] from it, one file a published method; the policy turns the
proposals into one decision.
*/

mod change_law;
mod change_sums;
mod control_chart;
mod cost;
mod drift_crossing;
mod evidence;
pub(crate) mod exact_test;
mod group;
mod group_regression;
mod group_summary;
mod in_service_check;
mod in_use_time;
mod incremental_response;
mod interval_test;
mod least_cost;
mod names;
mod outcomes;
mod own_line;
mod pooled;
#[cfg(test)]
mod properties;
mod proposal;
mod registry;
mod reliability;
pub(crate) mod search;
pub(crate) mod settings;
mod simple_response;
mod staircase;
#[cfg(test)]
pub(crate) mod testing;
mod uncertainty_growth;

pub use change_law::{ChangeLaw, Order, Scatter};
pub use change_sums::ChangeSums;
pub use control_chart::{ControlChart, ControlChartSettings};
pub use cost::{CostPoint, Costs};
pub use drift_crossing::DriftCrossing;
pub use evidence::Evidence;
pub use exact_test::{IntervalTestResult, interval_test};
pub use group::{GroupEvidence, Groups};
pub use group_regression::{GroupRegression, GroupRegressionSettings};
pub use group_summary::GroupReliabilitySummary;
pub use in_service_check::{InServiceCheck, InServiceCheckSettings, detection};
pub use in_use_time::{InUseTime, InUseTimeSettings, days_of_use};
pub use incremental_response::{IncrementalResponse, IncrementalResponseSettings};
pub use interval_test::{IntervalTest, IntervalTestSettings};
pub use least_cost::{LeastCost, LeastCostSettings};
pub use names::MethodName;
pub use outcomes::Outcomes;
pub use pooled::group_proposals;
pub use proposal::Proposal;
pub use registry::{IntervalTables, MethodTables};
pub use reliability::Reliability;
pub use search::Forecast;
pub use settings::{GroupsToFit, IntervalSettings};
pub use simple_response::{
    SimpleResponse, SimpleResponseSettings, balanced_reliability, balancing_share,
};
pub use staircase::{Staircase, StaircaseSettings};
pub use uncertainty_growth::{UncertaintyGrowth, UncertaintyGrowthSettings};

/// The proposals of those of `methods` that fit one history, in their order.
pub fn proposals(
    methods: &[Box<dyn Method>],
    evidence: &Evidence<'_>,
    group: &GroupEvidence,
) -> Vec<Proposal> {
    let asked = methods.iter().filter(|method| method.fits(evidence));
    asked
        .map(|method| method.propose(evidence, group))
        .collect()
}

/// One published method: a pure function from evidence to one proposal.
pub trait Method: Send + Sync {
    /// Its name in settings and tables.
    fn name(&self) -> MethodName;
    /// Whether its proposal rests on the group too; where not, any group gives the same.
    fn asks_group(&self) -> bool;
    /// Whether it is asked for this history at all; a method that was named is asked for all.
    fn fits(&self, _: &Evidence<'_>) -> bool {
        true
    }
    /// Its proposal for one history, or why it cannot make one.
    fn propose(&self, evidence: &Evidence<'_>, group: &GroupEvidence) -> Proposal;
}
