/*! Whether the item conforms now, by the stated decision rule, and what that does to a decision.

The rule is applied to what is known of the true error on the as-of date, the history included
(JCGM 106:2012, 7: a statement rests on all that is known of the value), and to the last check
as it was left. Where either is indeterminate a person decides, and until then no interval
grows. What is out more likely than not is withdrawn by the policy, whatever the rule.
*/

use super::policy::{Decision, Rule, review};
use crate::conformity::{Conformity, DecisionRule, Estimate, RuleName, State};
use crate::conformity::{decide, statement};
use crate::intervals::{Evidence, Forecast};
use crate::records::{History, Outcome};
use crate::words::full_stop;
use crate::words::{date, figure, percent};

/// What the decision rule says of check `row` of a history as it was found, the shared part of its u included;
/// `None` where value, uncertainty or limits are not known.
pub(crate) fn statement_on(
    history: &History<'_>,
    row: usize,
    rule: &DecisionRule,
) -> Option<Conformity> {
    let (found, u) = (
        history.as_found[row],
        history.u[row].hypot(history.u_common[row]),
    );
    let known = found.is_finite() && u.is_finite();
    let tolerance = history.tolerance_at(row).filter(|_| known)?;
    Some(decide(found, u, tolerance, rule))
}

/// Statements on a check as found and as left, where its values and their uncertainty are known.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LastCheck {
    /// Row of the check in its history.
    pub row: usize,
    /// As found.
    pub found: Conformity,
    /// As left; `None` where it was left as found or the value is not known.
    pub left: Option<Conformity>,
}

impl LastCheck {
    /// The last check of `history` with a value and a tolerance.
    pub(crate) fn of(history: &History<'_>, rule: &DecisionRule) -> Option<Self> {
        let row = history.as_found.iter().rposition(|v| v.is_finite())?;
        let tolerance = history.tolerance_at(row)?;
        let u = history.u[row].hypot(history.u_common[row]);
        let found = history.as_found[row];
        let left = history.left(row);
        let left = (left.is_finite() && left != found).then(|| decide(left, u, tolerance, rule));
        Some(Self {
            row,
            found: decide(found, u, tolerance, rule),
            left,
        })
    }

    /// The same where something speaks against relying on the check.
    #[must_use]
    pub(crate) fn withheld(self, why: Option<&str>) -> Self {
        let Some(why) = why else {
            return self;
        };
        Self {
            row: self.row,
            found: self.found.withheld(why),
            left: self.left.map(|left| left.withheld(why)),
        }
    }

    /// The statement on the item as it went back into use; `None` where an event left it with a
    /// value that nobody stated.
    fn in_use(&self, history: &History<'_>) -> Option<&Conformity> {
        let known = history.left(self.row).is_finite();
        known.then(|| self.left.as_ref().unwrap_or(&self.found))
    }
}

/// What the rule states of the true error on the as-of date, with its probability in tolerance.
fn statement_now(evidence: &Evidence<'_>, rule: &DecisionRule) -> (State, f64) {
    let unknown = without_level(evidence);
    let Some(tolerance) = evidence.tolerance else {
        return (unknown, f64::NAN);
    };
    let forecast = Forecast::unused(evidence).ok();
    let Some(p) = forecast.and_then(|f| f.at(f.elapsed())) else {
        return (unknown, f64::NAN);
    };
    let probability = p.probability_in(tolerance);
    let estimate = Estimate {
        value: p.expected,
        u: p.u_error,
        probability,
    };
    (statement(&estimate, tolerance, rule), probability)
}

/// What is said where nothing is known of the level: nonconforming after a failure that nothing restored.
fn without_level(evidence: &Evidence<'_>) -> State {
    let failed = |(check, outcome)| outcome == Outcome::Out && !evidence.restored(check);
    match evidence.last_judged().is_some_and(failed) {
        true => State::Nonconforming,
        false => State::Unknown,
    }
}

/// States in `decision` whether the item conforms, and turns it to a person where the rule
/// cannot tell.
pub(crate) fn apply(evidence: &Evidence<'_>, rule: &DecisionRule, decision: &mut Decision) {
    if decision.level_in_doubt {
        decision.conformity_now = without_level(evidence);
        return;
    }
    (decision.conformity_now, decision.probability_now) = statement_now(evidence, rule);
    let Some(why) = in_question(evidence, rule, decision) else {
        if rule.name != RuleName::Simple && decision.conformity_now == State::Conforming {
            decision.reason = format!(
                "{} Conforming on {} by {} (probability in tolerance {}).",
                full_stop(&decision.reason),
                date(evidence.as_of),
                rule.words(),
                percent(decision.probability_now)
            );
        }
        return;
    };
    let rule = Rule::new("in question by the decision rule", &format!(": {why}"));
    decision.rules_fired.push(rule);
    let framed = |own: &str| format!("Indeterminate: {why}. By the interval alone: {own}");
    review(evidence, decision, framed, "until a person has decided");
}

/// Why the rule cannot tell whether the item conforms.
fn in_question(
    evidence: &Evidence<'_>,
    rule: &DecisionRule,
    decision: &Decision,
) -> Option<String> {
    let history = &evidence.history;
    if decision.conformity_now == State::Indeterminate {
        return Some(format!(
            "on {} the true error is in tolerance with probability {}, too near a limit for {}",
            date(evidence.as_of),
            percent(decision.probability_now),
            rule.words()
        ));
    }
    let last = LastCheck::of(history, rule)?;
    let in_use = last.in_use(history)?;
    (in_use.state == State::Indeterminate).then(|| {
        let (value, how) = match last.left {
            Some(_) => (history.left(last.row), "left"),
            None => (history.as_found[last.row], "found"),
        };
        format!(
            "{} as {how} on {} is in tolerance with probability {} by itself, too near a limit for {}",
            figure(value, &history.item.unit),
            date(history.date[last.row]),
            percent(in_use.probability),
            rule.words()
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decisions::testing::*;

    /// One check of 4.9 with u = 0.35 against ±5.
    fn near_the_limit(u: f64) -> crate::records::Histories {
        let mut record = Record::new().check(20_000.0, 4.9);
        record.columns.u = vec![u];
        record.item.tolerance = crate::records::Tolerance::new(-5.0, 5.0);
        record.histories()
    }

    fn applied(u: f64, rule: &DecisionRule) -> Decision {
        let histories = near_the_limit(u);
        let fit = unfitted(Status::LevelOnly);
        let mut decision = extending();
        apply(&evidence(&histories, &fit), rule, &mut decision);
        decision
    }

    #[test]
    fn a_last_reading_that_decides_nothing_asks_a_person() {
        let asked = applied(0.35, &DecisionRule::SIMPLE);
        assert_eq!((asked.action, asked.interval_days), (Action::Review, 365.0));
        let words = "Indeterminate: 4.9 mK as found on 2024-10-04 is in tolerance with probability 61.2 % by itself";
        assert!(asked.reason.starts_with(words), "{}", asked.reason);
        says!(
            asked.reason,
            "By the interval alone: Extend. 365 d stay in force"
        );
        assert_eq!(applied(0.05, &DecisionRule::SIMPLE).action, Action::Extend);
        let guarded = DecisionRule {
            name: RuleName::Guarded,
            ..DecisionRule::SIMPLE
        };
        let asked = applied(0.07, &guarded);
        assert_eq!(asked.action, Action::Review, "{}", asked.reason);
        says!(asked.reason, "guarded acceptance by 1 U");
    }
}
