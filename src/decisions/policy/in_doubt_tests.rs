/*! What is said of an item whose level is in doubt: the same decision, and no probability of its own. */

use super::tests::{CALM, proposing};
use super::*;
use crate::decisions::testing::*;

const TARGET: &str = "target of 95 %";

/// Reason and rules of the decision on three yearly checks, and what is done.
fn told(
    fit: &Fit,
    proposals: &[Proposal],
    settings: &PolicySettings,
    in_doubt: bool,
) -> (String, (Action, f64)) {
    let record = Record::new()
        .check(0.0, 0.0)
        .check(365.0, 0.05)
        .check(730.0, 0.0);
    let histories = record.histories();
    let evidence = Evidence {
        level_in_doubt: in_doubt,
        ..evidence(&histories, fit)
    };
    let group = GroupEvidence::default();
    let decision = decide(&evidence, proposals, &group, settings, &[]);
    assert_eq!(decision.probability_in_tolerance.is_nan(), in_doubt);
    let rules = decision.rules_fired.iter().map(Rule::words);
    let words: Vec<&str> = [decision.reason.as_str()]
        .into_iter()
        .chain(rules)
        .collect();
    (words.join("\n"), (decision.action, decision.interval_days))
}

#[test]
fn a_level_in_doubt_changes_no_decision_and_leaves_out_what_rests_on_it() {
    let near = Known { error: 0.8, ..CALM };
    let out = Known { error: 3.0, ..CALM };
    let stepping = Known {
        step_rate: 0.004,
        ..CALM
    };
    let states = |reason: &str| {
        let mut proposals = proposing(700.0);
        proposals[0].why = reason.to_string();
        proposals
    };
    let stated = states("the probability in tolerance stays at or above 95.2 % for 700 d");
    let default = PolicySettings::default;
    let below_target = PolicySettings {
        below_target: true,
        ..default()
    };
    let largest = PolicySettings {
        step_rate: StepRate::Largest,
        ..default()
    };
    let cases = [
        (CALM, &stated, default()),
        (near, &stated, default()),
        (near, &stated, below_target),
        (out, &stated, default()),
        (stepping, &stated, largest),
    ];
    for (known, proposals, settings) in cases {
        let fit = known.fit(730.0, 3);
        let (sure, by_sure) = told(&fit, proposals, &settings, false);
        let (doubted, by_doubted) = told(&fit, proposals, &settings, true);
        assert_eq!(by_sure, by_doubted);
        assert!(sure.replace(TARGET, "").contains('%'), "{sure}");
        assert!(!doubted.replace(TARGET, "").contains('%'), "{doubted}");
    }
}

#[test]
fn why_no_interval_can_be_derived_tells_no_probability_either() {
    let none = [Proposal::not_applicable(
        MethodName::DriftCrossing,
        "the probability in tolerance is 80.4 % already",
    )];
    let fit = CALM.fit(730.0, 3);
    let (doubted, _) = told(&fit, &none, &PolicySettings::default(), true);
    assert!(!doubted.contains('%'), "{doubted}");
    says!(doubted, "because the item's level is in doubt");
}
