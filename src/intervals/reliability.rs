/*! Reliability: the interval at which R(t), fitted to the group's outcomes, meets the target.

The fit itself lives in the reliability room; the pipeline hands its result to
the group's evidence as a [`GroupReliabilitySummary`](super::GroupReliabilitySummary).
NASA RP-1342 (1994), section 6.3.3: the interval is the time since calibration
at which R(t) equals the target.
*/

use super::{Evidence, GroupEvidence, Method, MethodName, Proposal};

/// The method; its settings are those of the reliability room.
#[derive(Debug, Clone, Copy, Default)]
pub struct Reliability;

impl Method for Reliability {
    fn name(&self) -> MethodName {
        MethodName::Reliability
    }

    fn propose(&self, evidence: &Evidence<'_>, group: &GroupEvidence) -> Proposal {
        if evidence.in_or_out_unknown() {
            return Proposal::not_applicable(self.name(), "no tolerance was given");
        }
        let Some(result) = &group.reliability else {
            let because = if group.name.is_empty() {
                "the item states no group whose outcomes could be pooled"
            } else {
                "the outcomes of its group were not fitted"
            };
            return Proposal::not_applicable(self.name(), because);
        };
        let Some(days) = result.interval_days.filter(|d| d.is_finite() && *d >= 0.0) else {
            return Proposal::not_applicable(self.name(), &result.sentence);
        };
        let basis = format!(
            "{} outcomes of group \"{}\"",
            result.weight.round(),
            group.name
        );
        Proposal::of(
            self.name(),
            days,
            result.weight,
            basis,
            result.sentence.clone(),
        )
        .within(result.limits)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::Status;
    use crate::intervals::GroupReliabilitySummary;
    use crate::intervals::testing::{Record, evidence, unfitted};

    #[test]
    fn the_groups_result_is_handed_on_and_its_lack_explained() {
        let fitted = |interval_days| GroupEvidence {
            name: "gauges".into(),
            reliability: Some(GroupReliabilitySummary {
                interval_days,
                limits: Some((200.0, 500.0)),
                weight: 92.0,
                sentence: "no failure in 92".into(),
            }),
            ..GroupEvidence::default()
        };
        let histories = Record::new().check(0.0, 0.0).histories();
        let fit = unfitted(Status::NoReading);
        let evidence = evidence(&histories, &fit);
        let found = Reliability.propose(&evidence, &fitted(Some(300.0)));
        assert_eq!((found.interval_days, found.weight), (Some(300.0), 92.0));
        assert_eq!(found.limits_days, Some((200.0, 500.0)));
        let none = Reliability.propose(&evidence, &fitted(None));
        assert_eq!(none.reason, "not applicable, because no failure in 92");
        let alone = Reliability.propose(&evidence, &GroupEvidence::default());
        assert!(alone.reason.contains("states no group"));
    }
}
