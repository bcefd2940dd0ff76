/*! The group stage: what like items lend each other, and their reliability where it is asked for. */

use super::output_settings::Charts;
use super::plan::Plan;
use crate::intervals::{GroupReliabilitySummary, Groups, MethodName};
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
    for result in &reliability {
        if let Some(group) = groups.by_name.get_mut(&result.group) {
            group.reliability = Some(summary(result));
        }
    }
    GroupResults {
        groups,
        reliability,
    }
}

fn summary(result: &GroupReliability) -> GroupReliabilitySummary {
    GroupReliabilitySummary {
        interval_days: result.interval.days,
        limits: result.interval.limits_days,
        weight: inside_and_outside(result),
        sentence: result.interval.reason.clone(),
    }
}

/// Outcomes behind a group's result.
fn inside_and_outside(result: &GroupReliability) -> f64 {
    let (inside, outside) = result.outcomes.totals();
    (inside + outside) as f64
}
