/*! Interval methods and the policy: from the evidence of one history to one explained decision.

[`Evidence`] gathers what a method may look at; each [`Method`] makes one
[`Proposal`] from it, one file a published method; the policy turns the
proposals into one decision.
*/

mod drift_crossing;
mod evidence;
mod group;
mod least_cost;
mod names;
pub mod policy;
mod proposal;
mod registry;
mod search;
mod settings;
mod staircase;
#[cfg(test)]
mod testing;
mod words;

pub use drift_crossing::DriftCrossing;
pub use evidence::Evidence;
pub use group::{ChangeSums, GroupEvidence, GroupReliabilitySummary, Groups, Outcomes};
pub use least_cost::{CostPoint, Costs, LeastCost, LeastCostSettings};
pub use names::MethodName;
pub use proposal::Proposal;
pub use registry::IntervalTables;
pub use search::Forecast;
pub use settings::IntervalSettings;
pub use staircase::{Staircase, StaircaseSettings};

/// One published method: a pure function from evidence to one proposal.
pub trait Method: Send + Sync {
    /// Its name in settings and tables.
    fn name(&self) -> MethodName;
    /// Its proposal for one history, or why it cannot make one.
    fn propose(&self, evidence: &Evidence<'_>, group: &GroupEvidence) -> Proposal;
}
