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

    fn propose(&self, _evidence: &Evidence<'_>, group: &GroupEvidence) -> Proposal {
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
