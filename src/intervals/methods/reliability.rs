/*! Reliability: the interval at which R(t), fitted to the group's outcomes, meets the target.

The fit itself lives in the reliability room; the pipeline hands its result to
the group's evidence as a `GroupReliabilitySummary`.
NASA RP-1342 (1994), section 6.3.3: the interval is the time since calibration
at which R(t) equals the target.
*/

use crate::intervals::{
    Evidence, GroupEvidence, Method, MethodName, NoProposal, Proposal, Proposed,
};

/// The method; its settings are those of the reliability room.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Reliability;

impl Method for Reliability {
    fn name(&self) -> MethodName {
        MethodName::Reliability
    }

    fn asks_group(&self) -> bool {
        true
    }

    fn proposal(&self, evidence: &Evidence<'_>, group: &GroupEvidence) -> Proposed {
        if evidence.in_or_out_unknown() {
            return Err(NoProposal::NoTolerance);
        }
        let Some(result) = group.reliability_at(evidence.target) else {
            let because = if group.name.is_empty() {
                "the item states no group whose outcomes could be pooled"
            } else {
                "the outcomes of its group were not fitted"
            };
            return Err(because.into());
        };
        let Some(days) = result.interval_days.filter(|d| d.is_finite() && *d >= 0.0) else {
            return Err(result.why.clone().into());
        };
        let basis = format!(
            "{} lives of group \"{}\"",
            result.weight.round(),
            group.name
        );
        let proposal = Proposal::of(self.name(), days, result.weight, basis, result.why.clone());
        Ok(proposal.within(result.limits))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::group::summary::GroupReliabilitySummary;
    use crate::intervals::testing::*;
    use crate::reliability::{GroupReliability, ReliabilitySettings};

    /// A fleet whose item 0 has a target of its own: its interval is the group's at that target,
    /// shorter than that of the others, and says so.
    #[test]
    fn an_item_meets_its_own_target() {
        let member = |i: usize| {
            let mut record = Record::new();
            record.item.group = "gauges".into();
            record.item.reliability_target = (i == 0).then_some(0.99);
            // Renewed at every check; the longer the interval, the more often found outside.
            for check in 0..8 {
                let outside = check > 0 && (check + i) % 20 < i * i / 20;
                record = record.outcome((check * (100 + 60 * i)) as f64, !outside);
                record.columns.event[check] = crate::records::Event::Adjusted;
            }
            record
        };
        let histories = fleet((0..20).map(member));
        let settings = ReliabilitySettings::default();
        let fitted = crate::reliability::group_reliability_by(
            &histories,
            &settings,
            |_| true,
            |group, count, outcomes| GroupReliability::new(group, count, outcomes, &settings, 0.95),
        );
        let mut groups = EvidenceByGroup::build(&histories, Default::default());
        groups.set_reliability(&fitted, &histories.items);
        let group = groups.of(&histories.items[0]);
        let fit = unfitted(Status::NoReading);
        let settings = crate::intervals::IntervalSettings::default();
        let propose = |i: usize| {
            let history = histories.get(i);
            let drift = (crate::drift::series::readings::Axis::Time, 0.95);
            let evidence = Evidence::new(history, &fit, &settings, drift, 5000.0);
            Reliability.propose(&evidence, group)
        };
        let (own, other) = (propose(0), propose(1));
        assert_eq!(own.interval_days, fitted[0].interval_at(0.99).days);
        assert_eq!(other.interval_days, fitted[0].interval.days);
        assert!(
            own.interval_days.is_some() && own.interval_days < other.interval_days,
            "{}; {}",
            own.reason(),
            other.reason()
        );
        says!(own.reason(), "0.99");
    }

    #[test]
    fn the_groups_result_is_handed_on_and_its_lack_explained() {
        let fitted = |interval_days| GroupEvidence {
            name: "gauges".into(),
            reliability: Some(GroupReliabilitySummary {
                interval_days,
                limits: Some((200.0, 500.0)),
                weight: 92.0,
                why: "no failure in 92".into(),
            }),
            ..GroupEvidence::default()
        };
        let histories = Record::new().check(0.0, 0.0).histories();
        let fit = unfitted(Status::NoReading);
        let evidence = evidence(&histories, &fit);
        let found = Reliability.propose(&evidence, &fitted(Some(300.0)));
        assert_eq!((found.interval_days, found.weight), (Some(300.0), 92.0));
        assert_eq!(found.limits_days, Some((200.0, 500.0)));
        let mut without = fitted(None);
        for sentence in ["no failure in 92", "no failure in 92"] {
            if let Some(summary) = &mut without.reliability {
                summary.why = sentence.into();
            }
            let none = Reliability.propose(&evidence, &without);
            assert_eq!(none.reason(), "not applicable, because no failure in 92");
        }
        let alone = Reliability.propose(&evidence, &GroupEvidence::default());
        says!(alone.reason(), "states no group");
    }
}
