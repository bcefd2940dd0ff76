/*! The group stage: what like items lend each other, and their reliability where it is asked for. */

use crate::intervals::{EvidenceByGroup, GroupsToFit};
use crate::ledger::memory::{Memory, fingerprint_of};
use crate::records::Histories;
use crate::reliability::{GroupReliability, group_reliability_by};
use crate::report::compose::results::GroupResults;
use crate::settings::output::Charts;
use crate::settings::plan::Plan;

/// Sums the groups; fits the reliability of those whose methods ask for it, of all where pages
/// show it, unless `memory` knows it.
pub(crate) fn group_results(plan: &Plan, histories: &Histories, memory: &Memory) -> GroupResults {
    let settings = &plan.settings;
    let to_fit = match settings.output.charts {
        Charts::None => settings.intervals.groups_to_fit(histories),
        _ => GroupsToFit::All,
    };
    with_reliability(plan, histories, memory, &to_fit)
}

/// What the groups lend to the methods that the plan lists, without what only pages show.
pub(crate) fn groups_for_methods(plan: &Plan, histories: &Histories) -> EvidenceByGroup {
    let to_fit = plan.settings.intervals.groups_to_fit(histories);
    with_reliability(plan, histories, &Memory::none(), &to_fit).groups
}

fn with_reliability(
    plan: &Plan,
    histories: &Histories,
    memory: &Memory,
    to_fit: &GroupsToFit,
) -> GroupResults {
    let settings = &plan.settings;
    let target = settings.intervals.reliability_target;
    let table = &settings.reliability;
    let mut groups = EvidenceByGroup::build(histories, table.renewal);
    if *to_fit == GroupsToFit::None {
        let reliability = Vec::new();
        return GroupResults {
            groups,
            reliability,
        };
    }
    let wanted = |group: &str| to_fit.holds(group);
    let reliability = group_reliability_by(histories, table, wanted, |name, count, outcomes| {
        let key = || fingerprint_of("group", &(table, target), &(&name, count, &outcomes));
        memory.recall(key, || {
            GroupReliability::new(name.clone(), count, outcomes.clone(), table, target)
        })
    });
    groups.set_reliability(&reliability, &histories.items);
    GroupResults {
        groups,
        reliability,
    }
}
