/*! The group stage: what like items lend each other, and their reliability where it is asked for. */

use super::output_settings::Charts;
use super::plan::Plan;
use crate::intervals::{Groups, MethodName};
use crate::records::Histories;
use crate::reliability::{GroupReliability, group_reliability};

/// What the groups lend to the methods, and their fitted reliability.
#[derive(Debug, Clone, Default)]
pub struct GroupResults {
    /// Sums by group, for the methods.
    pub groups: Groups,
    /// R(t) of every group, sorted by group; empty where nothing asks for it.
    pub reliability: Vec<GroupReliability>,
}

/// Sums the groups; fits their reliability where the method is listed or pages show it.
pub fn group_results(plan: &Plan, histories: &Histories) -> GroupResults {
    let settings = &plan.settings;
    let mut groups = Groups::build(histories);
    let asked = settings
        .intervals
        .methods
        .contains(&MethodName::Reliability);
    let shown = settings.output.charts != Charts::None;
    let target = settings.intervals.reliability_target;
    let reliability = match asked || shown {
        true => group_reliability(histories, &settings.reliability, target),
        false => Vec::new(),
    };
    groups.lend(&reliability);
    GroupResults {
        groups,
        reliability,
    }
}
