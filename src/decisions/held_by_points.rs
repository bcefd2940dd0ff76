/*! A longer interval that waits for another point of the instrument: an instrument is one thing, and comes to its
calibration whole.

A failure at another point holds it until somebody has closed the case; a point that must not be used, until the
calibration that this calls for, which will tell of every point. Nothing is lost by waiting: the proposal comes back with it.
*/

use super::failed_points::HeldBy;
use super::policy::Decision;
use super::policy::fitness::unfit;
use super::procedure::{Procedure, Subject};
use super::waiting::Waiting;
use crate::drift::Fit;
use crate::drift::class::parameters::ClassParameters;
use crate::intervals::Evidence;
use crate::records::History;
use crate::thermometry::advice::{Advice, AdviceKind};

impl Procedure<'_> {
    /// Holds a longer interval while a failure at another point of the instrument is not closed, or another point must
    /// not be used.
    pub(super) fn hold_for_points(
        &self,
        subject: &Subject<'_>,
        evidence: &Evidence<'_>,
        decision: &mut Decision,
    ) {
        if decision.interval_days <= evidence.current_interval {
            return;
        }
        let good_checks = self.tables.policy.checks_after_failure;
        let held_by = HeldBy {
            closings: self.closings,
            good_checks,
            rule: &self.tables.conformity.decision_rule(),
            as_of: self.as_of,
        };
        let points = (subject.points)();
        let failed = points.iter().find_map(|point| held_by.failed(point));
        let waiting = match failed {
            Some(failed) => Some(Waiting::of_point(&failed, good_checks)),
            None => (subject.withdrawn)().map(|point| Waiting::of_withdrawn(&point)),
        };
        if let Some(waiting) = waiting {
            waiting.hold(evidence, decision);
        }
    }

    /// Whether the item of `history` must not be used as it is.
    pub(super) fn withdraws(
        &self,
        history: &History<'_>,
        fit: &Fit,
        class: &ClassParameters,
    ) -> bool {
        let advised = |advice: Advice| advice.kind == AdviceKind::Withdraw;
        !history.item.status.is_gone()
            && (unfit(&self.evidence(*history, fit)).is_some()
                || self.advice_of(history, class).is_some_and(advised))
    }
}
