//! Findings of invented histories.

use super::*;
use crate::conformity::ConformitySettings;
use crate::decisions::testing::*;

#[test]
fn a_failed_check_stays_a_finding_whatever_follows() {
    let histories = Record::new()
        .check(20_000.0, 0.1)
        .check(20_365.0, 5.0)
        .left(0.0)
        .check(20_730.0, 0.1)
        .histories();
    let rule = ConformitySettings::default().decision_rule();
    let found = findings(&histories.get(0), &rule);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].day, 20_365.0);
    assert_eq!(found[0].good_since, 20_000.0);
    assert_eq!(found[0].kind, Kind::OutOfTolerance);
}

#[test]
fn an_open_case_holds_the_interval_and_asks_a_person() {
    let histories = Record::new()
        .check(20_000.0, 5.0)
        .check(20_365.0, 0.1)
        .histories();
    let rule = ConformitySettings::default().decision_rule();
    let fit = unfitted(Status::LevelOnly);
    let evidence = evidence(&histories, &fit);
    let book = Closings::default();
    let open = open_findings(&evidence.history, &rule, Some(&book), 20_400.0);
    let mut decision = extending();
    apply(&evidence, &open, Some(&book), &mut decision);
    assert_eq!(decision.action, Action::Review);
    assert_eq!(decision.interval_days, 365.0);
    let words =
        "Keep 365 d until a person has closed the open case: found out of tolerance on 2024-10-04";
    assert!(decision.reason.starts_with(words), "{}", decision.reason);
    assert_eq!(open_findings(&evidence.history, &rule, None, 20_400.0), []);
    // What lengthens nothing keeps its interval; the reason leads with what the action asks for.
    let mut shortening = Decision {
        action: Action::Shorten,
        interval_days: 180.0,
        reason: "Shorten from 365 d to 180 d: by staircase.".into(),
        ..extending()
    };
    apply(&evidence, &open, Some(&book), &mut shortening);
    assert_eq!(
        (shortening.action, shortening.interval_days),
        (Action::Review, 180.0)
    );
    let words = "Review by a person: there is an open case: found out of tolerance on 2024-10-04. \
                 By the interval alone: Shorten from 365 d to 180 d: by staircase.";
    assert_eq!(shortening.reason, words);
}
