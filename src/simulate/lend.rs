/*! What groups lend to the methods on one day, reliability included where a method asks for it. */

use crate::intervals::{Groups, IntervalTables, MethodName};
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
    let reliability = group_reliability(histories, settings, target);
    groups.lend(&reliability, &histories.items);
    groups
}
