/*! The advice on a thermometer in the decision on its interval: that of its sessions, or on a check
that came without raw readings.

The interval rests on the drift at the triple point alone. What else the sessions show (W at
another fixed point moved, a jump, a limit exceeded) goes before it: no interval is
lengthened for a thermometer that should be annealed or withdrawn.
*/

use super::cases::closings::Closings;
use super::cases::open_findings;
use super::policy::{Action, Decision, Rule};
use super::policy::{hold, shorten_to};
use crate::conformity::DecisionRule;
use crate::intervals::Evidence;
use crate::records::{Histories, Item};
use crate::thermometry::advice::{Advice, AdviceKind};
use crate::thermometry::its90::FixedPoint;
use crate::thermometry::session_findings::{SessionFindings, ThermometerReport};
use crate::words::full_stop;

/// What the sessions say of the thermometer whose history at the triple point of water `item` names.
fn report<'s>(thermometry: &'s SessionFindings, item: &Item) -> Option<&'s ThermometerReport> {
    let water = FixedPoint::from_name(&item.point) == Some(FixedPoint::Water);
    thermometry.of(&item.instrument).filter(|_| water)
}

/// Advice on that thermometer.
pub(crate) fn advice_on<'s>(thermometry: &'s SessionFindings, item: &Item) -> Option<&'s Advice> {
    report(thermometry, item)?.advice.as_ref()
}

/// No thermometer with an open case, at whatever point, may serve as a reference.
pub(crate) fn apply_cases(
    thermometry: &mut SessionFindings,
    histories: &Histories,
    rule: &DecisionRule,
    book: Option<&Closings>,
    as_of: f64,
) {
    for report in &mut thermometry.thermometers {
        let own = histories
            .iter()
            .filter(|h| h.item.instrument == report.instrument);
        let open = own
            .map(|h| open_findings(&h, rule, book, as_of).len())
            .sum();
        report.before_use = report.before_use.clone().with_open_cases(open);
    }
}

/// Puts into the decision what is advised on the thermometer beside its drift.
pub(crate) fn apply(
    thermometry: &SessionFindings,
    advice: Option<&Advice>,
    evidence: &Evidence<'_>,
    decision: &mut Decision,
) {
    let report = report(thermometry, evidence.history.item);
    if let Some(most) = report.and_then(|report| report.water_only_days) {
        water_only(most, evidence, decision);
    }
    let whose = match report {
        Some(_) => "sessions",
        None => "limits of the thermometer",
    };
    if let Some(advice) = advice {
        follow(advice, whose, evidence, decision);
    }
}

/// The triple point alone cannot show that the coefficients still hold: it bounds the interval.
fn water_only(most: f64, evidence: &Evidence<'_>, decision: &mut Decision) {
    let bounded = shorten_to(evidence, decision, most, |own, days| {
        format!(
            "{} No more than {days}: W was read at no other point since its certificate, and the triple point of water \
             alone does not show whether the coefficients still hold.",
            full_stop(own)
        )
    });
    if bounded {
        let rest = format!(": at most {most} d (site)");
        let rule = Rule::new("W read at no other point", &rest);
        decision.rules_fired.push(rule);
    }
}

/// Turns the decision to a person where the advice asks for one; until then no interval grows.
fn follow(advice: &Advice, whose: &str, evidence: &Evidence<'_>, decision: &mut Decision) {
    let action = match advice.kind {
        AdviceKind::Keep | AdviceKind::Adopt => return,
        AdviceKind::Withdraw => Action::Withdraw,
        AdviceKind::Anneal | AdviceKind::Repeat => Action::Review,
    };
    let (word, because) = (advice.kind.word(), full_stop(&advice.reason));
    // What withdraws the thermometer in any case comes first.
    let withdrawn = decision.action == Action::Withdraw;
    let framed = |own: &str| match withdrawn {
        true => format!("{} The {whose} advise to {word}: {because}", full_stop(own)),
        false => format!(
            "The {whose} advise to {word}: {because} By the drift at the triple point alone: {}",
            full_stop(own)
        ),
    };
    let held = hold(evidence, decision, |own, stays| {
        format!(
            "{} {stays} stay in force until a person has decided.",
            framed(own)
        )
    });
    if !held {
        decision.reason = framed(&decision.reason);
    }
    if decision.action != Action::Withdraw {
        decision.action = action;
    }
    decision.rules_fired.push(Rule::new(
        format!("advice of the {whose}: {word}"),
        &format!(" ({})", advice.source),
    ));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decisions::testing::*;

    fn advice(kind: AdviceKind) -> Advice {
        Advice {
            kind,
            reason: "W at zinc moved".into(),
            source: "a test",
            anneal: None,
            impact: String::new(),
            cautions: Vec::new(),
        }
    }

    #[test]
    fn only_what_needs_a_person_changes_the_action() {
        let histories = Record::new().check(20_000.0, 0.1).histories();
        let fit = unfitted(Status::LevelOnly);
        let evidence = evidence(&histories, &fit);
        let before = extending();
        let applied = |kind| {
            let mut decision = before.clone();
            follow(&advice(kind), "sessions", &evidence, &mut decision);
            decision
        };
        assert_eq!(applied(AdviceKind::Adopt), before);
        let reviewed = applied(AdviceKind::Anneal);
        assert_eq!(reviewed.action, Action::Review);
        assert_eq!(
            (reviewed.interval_days, reviewed.due_date),
            (365.0, 20_365.0)
        );
        assert!(
            reviewed
                .reason
                .ends_with("Extend. 365 d stay in force until a person has decided.")
        );
        let withdrawn = applied(AdviceKind::Withdraw);
        assert_eq!(withdrawn.action, Action::Withdraw);
        says!(withdrawn.reason, "W at zinc moved. By the drift");
        let mut bounded = before.clone();
        water_only(500.0, &evidence, &mut bounded);
        assert_eq!(
            (bounded.action, bounded.interval_days),
            (Action::Extend, 500.0)
        );
        says!(
            bounded.reason,
            "Extend. No more than 500 d: W was read at no other point"
        );
        water_only(300.0, &evidence, &mut bounded);
        assert_eq!(bounded.action, Action::Shorten);
        let mut lost = Decision {
            action: Action::Withdraw,
            reason: "Withdraw: out of tolerance".into(),
            ..before.clone()
        };
        follow(
            &advice(AdviceKind::Anneal),
            "sessions",
            &evidence,
            &mut lost,
        );
        assert_eq!(lost.action, Action::Withdraw);
        let first = "Withdraw: out of tolerance. The sessions advise to anneal: W at zinc moved.";
        assert!(lost.reason.starts_with(first), "{}", lost.reason);
    }
}
