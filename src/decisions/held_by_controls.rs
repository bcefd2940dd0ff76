/*! What a check standard out of control, or a shift of many items, holds back.

Decisions that rest on a session out of control wait for a person, and so does that of the check
standard itself; until then checks carry no statement and levels are in doubt.
*/

use super::controls::Controls;
use super::policy::{Action, BY_THE_RECORD, Decision, Rule, hold};
use crate::control::{ControlState, ItemChart};
use crate::intervals::Evidence;
use crate::records::{History, Item, Role};
use crate::words::{count, date, full_stop};

impl Controls {
    /// Puts into the decision what the control charts say of history `index`; until a person has judged it
    /// the level that its checks tell is in doubt.
    pub(crate) fn apply(&self, index: usize, evidence: &Evidence<'_>, decision: &mut Decision) {
        if let Some(why) = self.why(index, &evidence.history) {
            wait(why, evidence, decision);
        }
    }

    /// Whether the process speaks against relying on the last checks of the history.
    pub(crate) fn speaks_against_checks(&self, index: usize, history: &History<'_>) -> bool {
        self.why(index, history).is_some() || self.shared.of_history(index).is_some()
    }

    /// What of the process speaks against relying on the last checks of the history, in words.
    fn why(&self, index: usize, history: &History<'_>) -> Option<Rule> {
        let own = self.charts.get(&index).filter(|chart| {
            history.item.role == Role::CheckStandard && chart.state == ControlState::OutOfControl
        });
        match own.and_then(ItemChart::first_open) {
            Some(signal) => {
                let (rule, day) = (signal.rule.words(), date(signal.date));
                let why = format!("the check standard is out of control: {rule} on {day}");
                Some(why.into())
            }
            None => {
                let (brief, rest) = self.sessions(history)?;
                Some(Rule::new(brief, &rest))
            }
        }
    }

    /// Puts into the decision that the readings of history `index` moved together with others: the
    /// reference is looked at before the item, and until then its level is in doubt.
    pub(crate) fn apply_shared(
        &self,
        index: usize,
        evidence: &Evidence<'_>,
        decision: &mut Decision,
    ) {
        if let Some(shift) = self.shared.of_history(index) {
            let (brief, rest) = shift.parts();
            let rest = format!("{rest}, and no probability is stated until then");
            wait(Rule::new(brief, &rest), evidence, decision);
        }
    }

    /// Why the check of `row` carries no statement of conformity until a person has judged what it
    /// shares with others, in words; `None` where nothing is open.
    pub(crate) fn against_check(
        &self,
        index: usize,
        history: &History<'_>,
        row: usize,
    ) -> Option<String> {
        self.moved(index).or_else(|| {
            let names = self.out_on(history.item, history.date[row])?;
            Some(format!(
                "the check standard {} was out of control in its session, and nobody has judged that yet",
                names.join(" and ")
            ))
        })
    }

    /// Why nothing is predicted from the checks of the history until a person has judged what they
    /// share with others, in words; `None` where nothing is open.
    pub(crate) fn against_level(&self, index: usize, history: &History<'_>) -> Option<String> {
        let resting = || {
            let (brief, rest) = self.sessions(history)?;
            Some(format!("{brief}{rest}, and nobody has judged that yet"))
        };
        self.moved(index).or_else(resting)
    }

    fn moved(&self, index: usize) -> Option<String> {
        let words = "its readings moved together with those of other items, and nobody has judged that shift yet";
        self.shared.of_history(index).map(|_| words.into())
    }

    /// The check standards that were out of control on `day` beside `item`.
    fn out_on(&self, item: &Item, day: f64) -> Option<&Vec<String>> {
        if item.role == Role::CheckStandard {
            return None;
        }
        let day = day.floor() as i64;
        let on = |group: Option<String>| self.suspect.get(&(group, item.unit.clone()))?.get(&day);
        on(Some(item.group.clone())).or_else(|| on(None))
    }

    /// The sessions out of control on which the checks of `history` rest, in words: the first, and how
    /// many there are.
    fn sessions(&self, history: &History<'_>) -> Option<(String, String)> {
        if self.suspect.is_empty() {
            return None;
        }
        let resting = history
            .date
            .iter()
            .filter_map(|day| Some((day.floor() as i64, self.out_on(history.item, *day)?)));
        let mut resting: Vec<(i64, &Vec<String>)> = resting.collect();
        resting.dedup_by_key(|(day, _)| *day);
        let (day, names) = resting.first()?;
        let more = match resting.len() {
            1 => String::new(),
            several => format!(", the first of {}", count(several, "such session")),
        };
        let why = format!(
            "the check of {} rests on a session in which the check standard {} was out of control",
            date(*day as f64),
            names.join(" and ")
        );
        Some((why, more))
    }
}

/// While its session is not explained no interval grows, and a person is asked.
fn wait(why: Rule, evidence: &Evidence<'_>, decision: &mut Decision) {
    decision.rules_fired.push(why.clone());
    let held = hold(evidence, decision, |own, stays| {
        format!(
            "Keep {stays} until a person has found the cause: {why}.{BY_THE_RECORD}{}",
            full_stop(own)
        )
    });
    if !held {
        decision.reason = format!("{} Yet {why}.", full_stop(&decision.reason));
    }
    if decision.action != Action::Withdraw {
        decision.action = Action::Review;
    }
}

#[cfg(test)]
mod tests {
    use super::super::controls::ChartedBy;
    use super::*;
    use crate::control::ControlSettings;
    use crate::decisions::testing::*;
    use crate::drift::DriftSettings;
    use crate::drift::class::classes::class_parameters;
    use crate::records::{About, Histories};
    use std::borrow::Cow;

    /// A check standard that shifts by four deviations from day 1,200 on, and an item of its group.
    fn session(unit: &str, day: f64) -> Histories {
        let mut standard = Record::new();
        for i in 0..50 {
            let wave = f64::from((i * 7) % 5 - 2) + if i < 40 { 0.0 } else { 8.0 };
            standard = standard.check(30.0 * f64::from(i), wave);
        }
        standard.item.role = Role::CheckStandard;
        standard.item.control_chart = Some(About::Constant);
        standard.item.instrument = "CS-1".into();
        let mut item = Record::new().check(600.0, 0.1).check(day, 0.1);
        item.item.unit = unit.into();
        fleet([standard, item])
    }

    fn applied(all: &Histories, index: usize) -> Decision {
        let (control, drift) = (ControlSettings::default(), DriftSettings::default());
        let classes = class_parameters(all, &drift);
        let class = |index| Cow::Owned(classes.of_history(index).clone());
        let by = ChartedBy {
            control: &control,
            drift: &drift,
            closings: None,
            class: &class,
            only: None,
        };
        let controls = Controls::of(all, &by, &|_| false);
        assert_eq!(controls.charts.len(), 1);
        let fit = unfitted(Status::LevelOnly);
        let one = evidence(all, &fit);
        let one = Evidence {
            history: all.get(index),
            ..one
        };
        let mut decision = extending();
        controls.apply(index, &one, &mut decision);
        decision
    }

    #[test]
    fn decisions_on_a_session_out_of_control_wait_and_others_do_not() {
        let held = applied(&session("mK", 1230.0), 1);
        assert_eq!((held.action, held.interval_days), (Action::Review, 365.0));
        let words = "rests on a session in which the check standard CS-1 was out of control";
        says!(held.reason, words);
        let alone = format!(" By the record alone: {}", extending().reason);
        assert!(held.reason.ends_with(&alone), "{}", held.reason);
        for other in [
            session("mK", 900.0),
            session("mK", 1231.0),
            session("mΩ", 1230.0),
        ] {
            assert_eq!(applied(&other, 1), extending());
        }
        let own = applied(&session("mK", 1230.0), 0);
        assert_eq!(own.action, Action::Review);
        says!(own.reason, "the check standard is out of control");
    }
}
