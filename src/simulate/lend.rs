/*! What groups lend to the methods on one day, reliability included where a method asks for it. */

use crate::intervals::{GroupReliabilitySummary, Groups, IntervalTables, MethodName};
use crate::records::Histories;
use crate::reliability::{ReliabilitySettings, group_reliability};

/// Sums of every group, with its fitted reliability where `tables` list that method.
pub fn groups(
    histories: &Histories,
    tables: &IntervalTables,
    settings: &ReliabilitySettings,
) -> Groups {
    let mut groups = Groups::build(histories);
    if !tables.intervals.methods.contains(&MethodName::Reliability) {
        return groups;
    }
    let target = tables.intervals.reliability_target;
    for result in group_reliability(histories, settings, target) {
        let (inside, outside) = result.outcomes.totals();
        if let Some(group) = groups.by_name.get_mut(&result.group) {
            group.reliability = Some(GroupReliabilitySummary {
                interval_days: result.interval.days,
                limits: result.interval.limits_days,
                weight: (inside + outside) as f64,
                sentence: result.interval.reason.clone(),
            });
        }
    }
    groups
}
