/*! The rules in their order. */

use super::guard::below_target;
use super::rules::{Case, Draft};
use crate::intervals::{GroupEvidence, MethodName};

impl Case<'_> {
    /// Applies every rule to the interval that leads, with the most that its group's results
    /// allow where `leader` leads.
    pub(crate) fn settle(
        &self,
        mut draft: Draft,
        group: &GroupEvidence,
        leader: Option<MethodName>,
    ) -> Draft {
        self.largest_change(&mut draft);
        self.beyond_lived(&mut draft);
        self.vetoes(&mut draft);
        self.beyond_record(&mut draft, group);
        if let Some(most) = below_target(self.evidence, group, self.rules.settings, leader) {
            draft.limit(most.days, || most.rule);
        }
        self.beyond_borne_steps(&mut draft);
        self.smallest_change(&mut draft);
        self.below_target_by_forecast(&mut draft);
        self.floor(&mut draft);
        self.cap(&mut draft);
        self.round(&mut draft);
        self.after_surprise(&mut draft);
        draft
    }
}
