/*! What the policy promises, whatever the proposals. */

use super::*;
use crate::decisions::policy::settings::GroupPolicy;
use crate::decisions::policy::settings::Weighting;
use crate::decisions::testing::*;
use crate::intervals::{DriftCrossing, Method};
use crate::settings::SettingsTable;

pub(crate) const CALM: Known = Known {
    error: 0.0,
    u_error: 0.05,
    drift: 0.3,
    u_drift: 0.05,
    wander: 0.05,
    step_rate: 0.0,
};

pub(crate) fn record() -> Record {
    Record::new()
        .check(0.0, 0.0)
        .check(365.0, 0.05)
        .check(730.0, 0.0)
}

pub(crate) fn proposing(days: f64) -> Vec<Proposal> {
    vec![Proposal::of(
        MethodName::DriftCrossing,
        days,
        3.0,
        String::new(),
        "it is so".into(),
    )]
}

pub(crate) fn decided(
    record: Record,
    fit: &Fit,
    proposals: &[Proposal],
    settings: &PolicySettings,
) -> Decision {
    let histories = record.histories();
    let evidence = evidence(&histories, fit);
    decide(
        &evidence,
        proposals,
        &GroupEvidence::default(),
        settings,
        &[],
    )
}

fn plain(record: Record, days: f64) -> Decision {
    decided(
        record,
        &CALM.fit(730.0, 3),
        &proposing(days),
        &PolicySettings::default(),
    )
}

#[test]
fn the_leader_is_followed_to_the_day() {
    let decision = plain(record(), 700.9);
    assert_eq!(
        (decision.action, decision.interval_days),
        (Action::Extend, 700.0)
    );
    assert_eq!(decision.due_date, 730.0 + 700.0);
    assert_eq!(decision.method, Some(MethodName::DriftCrossing));
    assert_eq!(
        decision.reason,
        "Extend from 365 d to 700 d: by drift crossing, it is so."
    );
    assert!(decision.probability_in_tolerance > 0.5);
}

#[test]
fn small_changes_are_not_made_and_shorter_is_shorter() {
    assert_eq!(plain(record(), 360.0).action, Action::Keep);
    assert_eq!(plain(record(), 360.0).interval_days, 365.0);
    assert_eq!(plain(record(), 200.0).action, Action::Shorten);
    assert_eq!(plain(record(), 0.0).interval_days, 30.0);
}

#[test]
fn a_registers_cap_is_never_exceeded_and_says_so() {
    let mut capped = record();
    capped.item.cap_days = Some(400.0);
    let decision = plain(capped, 900.0);
    assert_eq!(decision.interval_days, 400.0);
    says!(
        decision.reason,
        "the register's cap, 400 d, is not exceeded"
    );
    assert!(!decision.what_would_change.is_empty());
}

#[test]
fn listed_intervals_round_down() {
    let settings = PolicySettings {
        listed_days: vec![30.0, 60.0, 90.0, 180.0, 365.0, 730.0],
        ..Default::default()
    };
    let fit = CALM.fit(730.0, 3);
    let days = |d| decided(record(), &fit, &proposing(d), &settings).interval_days;
    assert_eq!(
        [days(800.0), days(729.9), days(100.0), days(45.0)],
        [730.0, 365.0, 90.0, 30.0]
    );
}

#[test]
fn an_item_found_out_and_not_restored_is_withdrawn() {
    let decision = plain(Record::new().check(0.0, 0.0).check(730.0, 1.3), 900.0);
    assert_eq!(decision.action, Action::Withdraw);
    assert!(decision.interval_days <= 365.0);
    says!(
        decision.reason,
        "1.3 mK as found at the check of 1972-01-01"
    );
    let restored = plain(
        Record::new().check(0.0, 0.0).check(730.0, 1.3).left(0.0),
        900.0,
    );
    assert_eq!(
        (restored.action, restored.interval_days),
        (Action::Keep, 365.0)
    );
}

#[test]
fn an_item_predicted_outside_is_withdrawn() {
    let histories = record().histories();
    let fit = CALM.fit(730.0, 3);
    let mut evidence = evidence(&histories, &fit);
    evidence.as_of = 730.0 + 5.0 * 365.25;
    let group = GroupEvidence::default();
    let proposals = [DriftCrossing.propose(&evidence, &group)];
    let decision = decide(
        &evidence,
        &proposals,
        &group,
        &PolicySettings::default(),
        &[],
    );
    assert_eq!(decision.action, Action::Withdraw);
    assert!(decision.due_date < evidence.as_of);
    // The rules would lengthen it; an open case would then have held that back in place of the withdrawal.
    assert!(proposals[0].interval_days > Some(365.0));
    assert_eq!(decision.interval_days, 365.0);
    says!(decision.reason, "more likely outside tolerance than inside");
}

#[test]
fn without_tolerance_a_person_decides() {
    let mut open = record();
    open.item.tolerance = None;
    let none = [Proposal::not_applicable(
        MethodName::DriftCrossing,
        "no tolerance was given",
    )];
    let decision = decided(open, &CALM.fit(730.0, 3), &none, &PolicySettings::default());
    assert_eq!(
        (decision.action, decision.interval_days),
        (Action::Review, 365.0)
    );
    says!(decision.reason, "no tolerance was given");
    assert!(decision.predicted_error.is_finite() && decision.probability_in_tolerance.is_nan());
}

#[test]
fn without_tolerance_only_uncertainty_growth_may_lead() {
    let by = |method| {
        vec![Proposal::of(
            method,
            600.0,
            3.0,
            String::new(),
            "it is so".into(),
        )]
    };
    let fit = CALM.fit(730.0, 3);
    let action = |proposals: &[Proposal]| {
        let mut open = record();
        open.item.tolerance = None;
        decided(open, &fit, proposals, &PolicySettings::default()).action
    };
    assert_eq!(action(&by(MethodName::Reliability)), Action::Review);
    assert_eq!(action(&by(MethodName::UncertaintyGrowth)), Action::Extend);
}

#[test]
fn a_new_item_starts_with_the_registers_interval_else_with_a_person() {
    let none = [Proposal::not_applicable(
        MethodName::DriftCrossing,
        "one reading is too few",
    )];
    let fit = unfitted(Status::LevelOnly);
    let mut new = Record::new().check(0.0, 0.1);
    new.item.interval_days = Some(180.0);
    let decision = decided(new, &fit, &none, &PolicySettings::default());
    assert_eq!(
        (decision.action, decision.interval_days),
        (Action::Keep, 180.0)
    );
    let unknown = decided(
        Record::new().check(0.0, 0.1),
        &fit,
        &none,
        &PolicySettings::default(),
    );
    assert_eq!(unknown.action, Action::Review);
}

#[test]
fn criticality_and_the_log_hold_extensions_back() {
    let fit = CALM.fit(730.0, 3);
    let critical = || {
        let mut record = record();
        record.item.criticality = "High".into();
        record
    };
    let never = PolicySettings {
        never_extend: vec!["high".into()],
        ..Default::default()
    };
    assert_eq!(
        decided(critical(), &fit, &proposing(900.0), &never).action,
        Action::Keep
    );
    let ask = PolicySettings {
        ask_person: vec!["high".into()],
        ..Default::default()
    };
    assert_eq!(
        decided(critical(), &fit, &proposing(900.0), &ask).action,
        Action::Review
    );

    let once = PolicySettings {
        extensions_per_year: Some(1),
        ..Default::default()
    };
    let histories = record().histories();
    let evidence = evidence(&histories, &fit);
    let log = [PastDecision {
        day: 600.0,
        action: Action::Extend,
    }];
    let group = GroupEvidence::default();
    let held = decide(&evidence, &proposing(900.0), &group, &once, &log);
    assert_eq!(held.action, Action::Keep);
    assert_eq!(
        decide(&evidence, &proposing(900.0), &group, &once, &[]).action,
        Action::Extend
    );
}

#[test]
fn leaders_follow_the_group_and_the_evidence() {
    let mut settings = PolicySettings::default();
    let own = GroupPolicy {
        leaders: Some(vec![MethodName::Staircase]),
        ..Default::default()
    };
    settings.group.insert("thermometers".into(), own);
    let mut proposals = proposing(720.0);
    let by = |days, weight| {
        Proposal::of(
            MethodName::Staircase,
            days,
            weight,
            String::new(),
            "steps".into(),
        )
    };
    proposals.push(by(200.0, 3.0));
    let fit = CALM.fit(730.0, 3);
    let mut grouped = record();
    grouped.item.group = "thermometers".into();
    assert_eq!(
        decided(grouped, &fit, &proposals, &settings).interval_days,
        200.0
    );
    assert_eq!(
        decided(record(), &fit, &proposals, &settings).interval_days,
        720.0
    );
    settings.weighting = Weighting::Evidence;
    assert_eq!(
        decided(record(), &fit, &proposals, &settings).interval_days,
        379.0
    );
}

#[test]
fn impossible_policies_are_named() {
    let settings = PolicySettings {
        leaders: vec![],
        largest_extension: 0.5,
        smallest_change: 1.0,
        ..Default::default()
    };
    let keys: Vec<_> = settings.check().iter().map(|e| e.key).collect();
    assert_eq!(keys, ["leaders", "largest_extension", "smallest_change"]);
    assert!(PolicySettings::default().check().is_empty());
}
