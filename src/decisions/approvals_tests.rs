//! What a person decided, against proposals that follow.

use super::*;
use crate::decisions::testing::extending;
use crate::drift::Status;
use crate::drift::testing::unfitted;
use crate::intervals::testing::evidence;
use crate::records::testing::Record;

/// The decision of extending 365 d to 900 d where the book says `line` of an item last checked on
/// day 20,000, with the reason it gives.
fn applied(line: Option<(ApprovalVerdict, f64)>, proposed: f64) -> Decision {
    let mut histories = Record::new().check(20_000.0, 0.1).histories();
    histories.items[0].interval_days = Some(365.0);
    histories.items[0].signed = line.map(|(verdict, on)| {
        let last = Approval {
            proposed_days: Some(900.0),
            approved_days: (verdict != ApprovalVerdict::Rejected).then_some(365.0),
            verdict,
            by: "A. Person".into(),
            on,
            valid_until: None,
            reason: "one loan to come".into(),
        };
        let in_force = (verdict != ApprovalVerdict::Rejected).then(|| last.clone());
        Box::new(Signed {
            in_force,
            days_before: None,
            last,
        })
    });
    let fit = unfitted(Status::LevelOnly);
    let mut evidence = evidence(&histories, &fit);
    evidence.as_of = 20_100.0;
    let mut decision = Decision {
        interval_days: proposed,
        ..extending()
    };
    apply(&evidence, 0.03, &mut decision);
    decision
}

#[test]
fn what_nobody_signed_waits() {
    let waits = applied(None, 900.0);
    assert_eq!(waits.approval, ApprovalState::Pending);
    assert_eq!(
        (waits.pending_since, waits.in_force_due),
        (20_000.0, 20_365.0)
    );
    assert_eq!(waits.action, Action::Extend);
    assert_eq!(waits.act_on(), 20_365.0);
    assert_eq!(applied(None, 365.0).approval, ApprovalState::None);
}

#[test]
fn a_rejected_proposal_comes_back_with_the_next_check() {
    let rejected = applied(Some((ApprovalVerdict::Rejected, 20_010.0)), 900.0);
    assert_eq!(rejected.approval, ApprovalState::Rejected);
    assert_eq!(
        (rejected.action, rejected.interval_days),
        (Action::Keep, 365.0)
    );
    let words = "Keep 365 d: A. Person on 2024-10-14 rejected 900 d (one loan to come), and the item has no check since";
    assert!(rejected.reason.starts_with(words), "{}", rejected.reason);
    let again = applied(Some((ApprovalVerdict::Rejected, 19_990.0)), 900.0);
    assert_eq!(again.approval, ApprovalState::Pending);
    assert!(
        again
            .reason
            .contains("proposed again since the check of 2024-10-04"),
        "{}",
        again.reason
    );
    // A shorter interval than any that the person saw is told at once.
    let shorter = applied(Some((ApprovalVerdict::Rejected, 20_010.0)), 200.0);
    assert_eq!(
        (shorter.approval, shorter.interval_days),
        (ApprovalState::Pending, 200.0)
    );
}

#[test]
fn no_second_step_follows_an_approved_one_before_a_check() {
    for verdict in [ApprovalVerdict::Approved, ApprovalVerdict::Other] {
        let held = applied(Some((verdict, 20_010.0)), 730.0);
        assert_eq!(
            (held.approval, held.interval_days),
            (ApprovalState::Approved, 365.0)
        );
        let next = applied(Some((verdict, 19_990.0)), 730.0);
        assert_eq!(
            (next.approval, next.interval_days),
            (ApprovalState::Pending, 730.0)
        );
    }
}

#[test]
fn nothing_is_decided_for_what_is_gone() {
    let mut histories = Record::new().check(20_000.0, 0.1).histories();
    histories.items[0].status = ItemStatus::Lost;
    let fit = unfitted(Status::LevelOnly);
    let mut decision = extending();
    apply(&evidence(&histories, &fit), 0.03, &mut decision);
    assert_eq!(decision.action, Action::NotDecided);
    assert_eq!(decision.reason, "Not decided: the register has it as lost.");
    assert!(decision.due_date.is_nan() && decision.act_on().is_nan());
}

/// No interval of a withdrawn item or under an open case grows; a shorter one may be put in force at any
/// time.
#[test]
fn what_may_be_put_in_force() {
    let of = |action, open_cases: usize, days: f64| {
        let decision = Decision {
            action,
            open_cases: Some(open_cases),
            current_interval_days: 365.0,
            ..extending()
        };
        barred(&decision, days)
    };
    assert_eq!(of(Action::Extend, 0, 500.0), None);
    assert_eq!(of(Action::Shorten, 1, 30.0), None);
    assert_eq!(of(Action::Extend, 1, 500.0), Some(Barred::OpenCase));
    assert_eq!(of(Action::Withdraw, 0, 500.0), Some(Barred::Withdrawn));
    assert_eq!(of(Action::Withdraw, 1, 30.0), None);
}
