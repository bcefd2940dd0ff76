/*! The group stage: what like items lend each other, and their reliability where it is asked for. */

use super::between::{Memory, fingerprint_of};
use super::output_settings::Charts;
use super::plan::Plan;
use crate::intervals::{Groups, MethodName};
use crate::records::Histories;
use crate::reliability::{GroupReliability, group_reliability_by};

/// What the groups lend to the methods, and their fitted reliability.
#[derive(Debug, Clone, Default)]
pub struct GroupResults {
    /// Sums by group, for the methods.
    pub groups: Groups,
    /// R(t) of every group, sorted by group; empty where nothing asks for it.
    pub reliability: Vec<GroupReliability>,
}

/// Sums the groups; fits their reliability where the method is listed or pages show it and
/// `memory` does not know it.
pub fn group_results(plan: &Plan, histories: &Histories, memory: &Memory) -> GroupResults {
    let settings = &plan.settings;
    let asked = settings
        .intervals
        .methods
        .contains(&MethodName::Reliability);
    let shown = settings.output.charts != Charts::None;
    match asked || shown {
        true => with_reliability(plan, histories, memory),
        false => GroupResults {
            groups: Groups::build(histories),
            reliability: Vec::new(),
        },
    }
}

/// What the groups lend to the methods that the plan lists, without what only pages show.
pub fn lent(plan: &Plan, histories: &Histories) -> Groups {
    let methods = &plan.settings.intervals.methods;
    match methods.contains(&MethodName::Reliability) {
        true => with_reliability(plan, histories, &Memory::none()).groups,
        false => Groups::build(histories),
    }
}

fn with_reliability(plan: &Plan, histories: &Histories, memory: &Memory) -> GroupResults {
    let settings = &plan.settings;
    let target = settings.intervals.reliability_target;
    let table = &settings.reliability;
    let reliability = group_reliability_by(histories, table, |name, count, outcomes| {
        let key = || fingerprint_of("group", &(table, target), &(&name, count, &outcomes));
        memory.recall(key, || {
            GroupReliability::new(name.clone(), count, outcomes.clone(), table, target)
        })
    });
    let mut groups = Groups::build(histories);
    groups.lend(&reliability, &histories.items);
    GroupResults {
        groups,
        reliability,
    }
}
