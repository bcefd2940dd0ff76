//! What a person decided, against proposals that follow.

use super::*;
use crate::decisions::testing::*;
use crate::records::HeldInterval;

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
            earlier: Vec::new(),
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
    says!(again.reason, "proposed again since the check of 2024-10-04");
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

/// Day on which an item last checked on day 20,000 is due by 100 d, put in force on day `on` after
/// `before` days had held, and what is then said on day 20,300.
fn due_by_a_shorter_one(on: f64, before: f64) -> (f64, Decision) {
    due_of(ItemStatus::InUse, on, before)
}

fn due_of(status: ItemStatus, on: f64, before: f64) -> (f64, Decision) {
    let mut histories = Record::new().check(20_000.0, 0.1).histories();
    histories.items[0].status = status;
    histories.items[0].interval_days = Some(100.0);
    let line = Approval {
        proposed_days: Some(365.0),
        approved_days: Some(100.0),
        verdict: ApprovalVerdict::Other,
        by: "A. Person".into(),
        on,
        valid_until: None,
        reason: "one loan to come".into(),
    };
    histories.items[0].signed = Some(Box::new(Signed {
        in_force: Some(line.clone()),
        earlier: vec![HeldInterval {
            since: None,
            days: before,
        }],
        last: line,
    }));
    let fit = unfitted(Status::LevelOnly);
    let mut evidence = evidence(&histories, &fit);
    evidence.as_of = 20_300.0;
    let mut decision = Decision {
        interval_days: 100.0,
        current_interval_days: 100.0,
        due_date: 20_100.0,
        ..extending()
    };
    apply(&evidence, 0.03, &mut decision);
    crate::decisions::policy::end_with_due(&evidence, &mut decision);
    (evidence.due_in_use(), decision)
}

#[test]
fn what_a_person_put_in_force_makes_nothing_overdue_before_that_day() {
    // In time: it holds from its own end on.
    assert_eq!(due_by_a_shorter_one(20_050.0, 365.0).0, 20_100.0);
    // Too late for its own end: due from the day it was signed.
    let (due, signed_today) = due_by_a_shorter_one(20_300.0, 365.0);
    assert_eq!((due, signed_today.due_date), (20_300.0, 20_300.0));
    assert_eq!(signed_today.in_force_due, 20_300.0);
    let told = " Calibrate now: when they were put in force they had ended on 2025-01-12.";
    assert!(
        signed_today.reason.ends_with(told),
        "{}",
        signed_today.reason
    );
    let (due, late) = due_by_a_shorter_one(20_200.0, 365.0);
    assert_eq!(due, 20_200.0);
    assert!(
        late.reason.ends_with(" Overdue since 2025-04-22."),
        "{}",
        late.reason
    );
    // Overdue already by the one before.
    let (due, late) = due_by_a_shorter_one(20_290.0, 150.0);
    assert_eq!(due, 20_150.0);
    assert!(
        late.reason.ends_with(" Overdue since 2025-03-03."),
        "{}",
        late.reason
    );
}

/// Lent, it is not overdue, but it has the one date that it would have in use.
#[test]
fn what_is_away_is_due_by_what_is_in_force() {
    for (on, before) in [(20_200.0, 365.0), (20_290.0, 150.0)] {
        let (due, lent) = due_of(ItemStatus::Lent, on, before);
        let dates = (lent.due_date, lent.assigned_date, lent.in_force_due);
        assert_eq!(dates, (due, due, due));
        let told = " It is lent, and to be calibrated before it serves again.";
        assert!(lent.reason.ends_with(told), "{}", lent.reason);
    }
}

#[test]
fn what_a_person_set_for_a_time_is_told_once_it_is_over() {
    let mut histories = Record::new().check(20_000.0, 0.1).histories();
    histories.items[0].interval_days = Some(365.0);
    let last = Approval {
        proposed_days: Some(900.0),
        approved_days: Some(900.0),
        verdict: ApprovalVerdict::Approved,
        by: "A. Person".into(),
        on: 20_010.0,
        valid_until: Some(20_050.0),
        reason: String::new(),
    };
    histories.items[0].signed = Some(Box::new(Signed {
        in_force: None,
        earlier: Vec::new(),
        last,
    }));
    let fit = unfitted(Status::LevelOnly);
    let mut evidence = evidence(&histories, &fit);
    let mut told = |as_of: f64| {
        evidence.as_of = as_of;
        let mut decision = Decision {
            interval_days: 730.0,
            ..extending()
        };
        apply(&evidence, 0.03, &mut decision);
        assert_eq!(decision.approval, ApprovalState::Pending);
        decision.reason
    };
    let over = "The 900 d that A. Person put in force on 2024-10-14 held until 2024-11-23; 365 d hold since then.";
    let reason = told(20_100.0);
    assert!(reason.contains(over), "{reason}");
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

/// A withdrawn item has no interval; under an open case none grows, and a shorter one may be put in force at
/// any time.
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
    assert_eq!(of(Action::Withdraw, 1, 30.0), Some(Barred::Withdrawn));
}
