/*! Interval methods and the policy: from the evidence of one history to one explained decision.

`Evidence` gathers what a method may look at; each `Method` makes one
`Proposal` from it, one file a published method; the policy turns the
proposals into one decision.
*/

mod change_law;
mod evidence;
pub(crate) mod exact_test;
mod group;
mod group_proposals;
pub(crate) mod in_use;
pub(crate) mod methods;
mod names;
pub(crate) mod no_limits;
mod no_proposal;
#[cfg(test)]
mod properties;
mod proposal;
mod registry;
pub(crate) mod search;
pub(crate) mod settings;
#[cfg(test)]
pub(crate) mod testing;

pub(crate) use change_law::{ChangeLaw, Order, Scatter};
pub(crate) use evidence::Evidence;
pub(crate) use group::GroupEvidence;
pub(crate) use group::by_group::EvidenceByGroup;
pub(crate) use group_proposals::group_proposals;
pub(crate) use methods::drift_crossing::DriftCrossing;
pub(crate) use methods::least_cost::LeastCost;
pub(crate) use names::MethodName;
pub(crate) use no_proposal::NoProposal;
pub(crate) use proposal::Proposal;
pub(crate) use registry::MethodTables;
pub(crate) use search::Forecast;
pub(crate) use settings::{GroupsToFit, IntervalSettings};

/// A proposal, or why there is none.
pub(crate) type Proposed = Result<Proposal, NoProposal>;

/// The proposals of those of `methods` that fit one history, in their order.
pub(crate) fn proposals(
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
pub(crate) trait Method: Send + Sync {
    /// Its name in settings and tables.
    fn name(&self) -> MethodName;
    /// Whether its proposal rests on the group too; where not, any group gives the same.
    fn asks_group(&self) -> bool {
        false
    }
    /// Whether it is asked for this history at all; a method that was named is asked for all.
    fn fits(&self, _: &Evidence<'_>) -> bool {
        true
    }
    /// Its proposal for one history.
    ///
    /// # Errors
    /// Why it cannot make one.
    fn proposal(&self, evidence: &Evidence<'_>, group: &GroupEvidence) -> Proposed;
    /// Its proposal for one history, or that it is not applicable and why.
    fn propose(&self, evidence: &Evidence<'_>, group: &GroupEvidence) -> Proposal {
        self.proposal(evidence, group)
            .unwrap_or_else(|because| Proposal::not_applicable(self.name(), because))
    }
}
