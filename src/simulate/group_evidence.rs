/*! The evidence of groups that the methods use on one day, reliability included where a method asks for it. */

use crate::decisions::DecisionTables;
use crate::intervals::{EvidenceByGroup, GroupsToFit};
use crate::records::Histories;
use crate::reliability::{GroupReliability, ReliabilitySettings, group_reliability_by};

/// Sums of every group, with the fitted reliability that the methods of `tables` ask for.
pub(crate) fn group_evidence(
    histories: &Histories,
    tables: &DecisionTables,
    settings: &ReliabilitySettings,
) -> EvidenceByGroup {
    let mut groups = EvidenceByGroup::build(histories, settings.renewal);
    let to_fit = tables.intervals.groups_to_fit(histories);
    if to_fit == GroupsToFit::None {
        return groups;
    }
    let target = tables.intervals.reliability_target;
    let wanted = |group: &str| to_fit.holds(group);
    let reliability = group_reliability_by(histories, settings, wanted, |name, count, outcomes| {
        GroupReliability::new(name, count, outcomes, settings, target)
    });
    groups.set_reliability(&reliability, &histories.items);
    groups
}
