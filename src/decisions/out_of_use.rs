/*! What is withdrawn has no date until which it may be used.

Its interval, its due date in force and an approval of either would read as a permission to use it: none is
stated. It is due now, and what is forecast for it is that of today. The interval in force holds again
from the calibration on that shows it restored; then, too, another one is proposed.
*/

use super::policy::{ApprovalState, Decision, due_now};
use crate::intervals::Evidence;

/// Takes from a decision to withdraw whatever reads as if the item went on serving.
pub(crate) fn apply(evidence: &Evidence<'_>, decision: &mut Decision) {
    due_now(evidence, decision);
    decision.interval_days = f64::NAN;
    decision.in_force_due = f64::NAN;
    decision.method = None;
    decision.approval = ApprovalState::None;
    decision.pending_since = f64::NAN;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decisions::testing::*;

    #[test]
    fn what_is_withdrawn_is_due_now_and_has_no_other_date() {
        let histories = Record::new().check(20_000.0, 1.5).histories();
        let fit = unfitted(Status::LevelOnly);
        let evidence = evidence(&histories, &fit);
        let mut decision = Decision {
            action: Action::Withdraw,
            approval: ApprovalState::Approved,
            ..extending()
        };
        apply(&evidence, &mut decision);
        let dates = (decision.due_date, decision.assigned_date, decision.act_on());
        assert_eq!(dates, (evidence.as_of, evidence.as_of, evidence.as_of));
        assert!(decision.interval_days.is_nan() && decision.in_force_due.is_nan());
        assert_eq!(decision.approval, ApprovalState::None);
        assert_eq!(decision.method, None);
    }
}
