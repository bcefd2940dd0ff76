/*! The control charts of a run, and what a check standard out of control holds back.

A check standard is measured beside other items: one that is out of control says that the process
was, on the days it was measured from the first open signal on. It protects the checks of its group
and unit on such a day; where it is alone in its group, or has none, those of its unit. Decisions
that rest on them wait for a person, and so does its own.
*/

use super::cases::closings::Closings;
use super::policy::{Action, BY_THE_RECORD, Decision, Rule, hold};
use super::processes::{OutOfControl, Processes, Protected};
use crate::control::{
    ControlSettings, ControlState, ItemChart, RunLengths, SharedBy, SharedShifts, is_charted,
    item_chart,
};
use crate::drift::DriftSettings;
use crate::drift::class::parameters::ClassParameters;
use crate::intervals::Evidence;
use crate::records::{Histories, History, Item, Role};
use crate::words::full_stop;
use crate::words::{count, date};
use rayon::prelude::*;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// What the charts are made by.
#[derive(Clone, Copy)]
pub(crate) struct ChartedBy<'a> {
    /// Settings of the charts.
    pub control: &'a ControlSettings,
    /// Settings of the drift.
    pub drift: &'a DriftSettings,
    /// The book of closings; `None` where no cases are kept.
    pub closings: Option<&'a Closings>,
    /// What the class of a history lends.
    pub class: &'a (dyn Fn(usize) -> Cow<'a, ClassParameters> + Sync),
    /// The one history whose decision is asked for; `None` for all.
    pub only: Option<usize>,
}

impl<'a> ChartedBy<'a> {
    fn shared(&self, histories: &Histories) -> SharedBy<'a> {
        let key = |index: usize| {
            let item = &histories.items[index];
            (item.group.clone(), item.unit.clone())
        };
        SharedBy {
            class: self.class,
            axis: self.drift.axis,
            judged_until: self.control.judged_until(),
            only: self.only.map(key),
        }
    }
}

/// The control charts of a run.
#[derive(Debug, Default)]
pub(crate) struct Controls {
    /// The chart of each charted history, by its index.
    pub charts: BTreeMap<usize, ItemChart>,
    /// What a chart of these settings is worth; `None` where nothing is charted.
    pub lengths: Option<RunLengths>,
    out_of_control: Vec<OutOfControl>,
    /// Whom they protect, then the day: the check standards that were out of control.
    suspect: BTreeMap<Protected, BTreeMap<i64, Vec<String>>>,
    /// What many items show at one time.
    pub shared: SharedShifts,
}

impl Controls {
    /// The charts of the check standards, and of the other charted histories whose items are `asked`
    /// for.
    pub(crate) fn of(
        histories: &Histories,
        by: &ChartedBy<'_>,
        asked: &(dyn Fn(&Item) -> bool + Sync),
    ) -> Self {
        let charts = charts(histories, by, asked);
        let standards = charts
            .iter()
            .filter(|(index, _)| histories.items[**index].role == Role::CheckStandard);
        let found =
            standards.filter_map(|(index, chart)| OutOfControl::of(histories, *index, chart));
        let found = found.collect();
        let shared = SharedShifts::of(histories, &by.shared(histories));
        Self::with(charts, found, shared, by)
    }

    /// As [`Controls::of`] for some histories of a fleet, of which `known` says what all of them say
    /// together.
    pub(crate) fn of_part(histories: &Histories, by: &ChartedBy<'_>, known: &Processes) -> Self {
        let shared = SharedShifts::known(histories, &by.shared(histories), &known.shifts);
        let charts = charts(histories, by, &|_| false);
        Self::with(charts, known.out_of_control.clone(), shared, by)
    }

    /// The same, with what check standards of other groups say of everything in their unit.
    pub(crate) fn beside(self, others: Vec<OutOfControl>) -> Self {
        let out_of_control = [self.out_of_control, others].concat();
        Self {
            suspect: suspect(&out_of_control),
            out_of_control,
            ..self
        }
    }

    fn with(
        charts: BTreeMap<usize, ItemChart>,
        out_of_control: Vec<OutOfControl>,
        shared: SharedShifts,
        by: &ChartedBy<'_>,
    ) -> Self {
        let suspect = suspect(&out_of_control);
        Self {
            lengths: match charts.is_empty() {
                true => None,
                false => RunLengths::of(by.control),
            },
            charts,
            out_of_control,
            suspect,
            shared,
        }
    }

    /// What the histories say together, for parts of the fleet.
    pub(crate) fn processes(&self) -> Processes {
        Processes {
            out_of_control: self.out_of_control.clone(),
            shifts: self.shared.shifts.clone(),
        }
    }

    /// What is told of a fleet of which nothing is charted.
    pub(crate) fn of_shared(shared: SharedShifts) -> Self {
        Self {
            shared,
            ..Self::default()
        }
    }

    /// Days of the signals of history `index`, each of which a person can close.
    pub(crate) fn signal_days(&self, index: usize) -> Vec<f64> {
        self.charts
            .get(&index)
            .map_or_else(Vec::new, ItemChart::signal_days)
    }

    /// The check standards with their charts, in the histories' order.
    pub(crate) fn check_standards<'a>(
        &'a self,
        items: &'a [Item],
    ) -> impl Iterator<Item = (usize, &'a ItemChart)> {
        let charts = self.charts.iter().map(|(index, chart)| (*index, chart));
        charts.filter(|(index, _)| items[*index].role == Role::CheckStandard)
    }

    /// Puts into the decision what the control charts say of history `index`; until a person has judged it
    /// the level that its checks tell is in doubt.
    pub(crate) fn apply(&self, index: usize, evidence: &Evidence<'_>, decision: &mut Decision) {
        if let Some(why) = self.why(index, &evidence.history) {
            wait(why, evidence, decision);
        }
    }

    /// Whether the process speaks against relying on the last checks of the history.
    pub(crate) fn speaks(&self, index: usize, history: &History<'_>) -> bool {
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

/// Whom the check standards out of control protect, and on which days they were it.
fn suspect(out_of_control: &[OutOfControl]) -> BTreeMap<Protected, BTreeMap<i64, Vec<String>>> {
    let mut suspect: BTreeMap<Protected, BTreeMap<i64, Vec<String>>> = BTreeMap::new();
    for found in out_of_control {
        let days = suspect.entry(found.protects.clone()).or_default();
        for day in &found.days {
            days.entry(*day).or_default().push(found.name.clone());
        }
    }
    suspect
}

/// The check standards out of control whose own group has nothing to protect, so that they speak of
/// every item of their `unit`; those of `group` are left out.
pub(crate) fn speaking_of_unit(
    histories: &Histories,
    (group, unit): (&str, &str),
    by: &ChartedBy<'_>,
) -> Vec<OutOfControl> {
    let found = (0..histories.len()).into_par_iter().filter(|index| {
        let item = &histories.items[*index];
        item.role == Role::CheckStandard && item.unit == unit && item.group != group
    });
    found
        .filter(|index| is_charted(&histories.get(*index), by.control))
        .filter_map(|index| OutOfControl::of(histories, index, &chart(histories, index, by)))
        .filter(|found| found.protects.0.is_none())
        .collect()
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

fn chart(histories: &Histories, index: usize, by: &ChartedBy<'_>) -> ItemChart {
    let history = histories.get(index);
    let item = history.item;
    let closed = by
        .closings
        .map(|book| book.closed(&item.instrument, &item.point));
    let class = (by.class)(index);
    item_chart(&history, &class, (by.control, by.drift), closed.as_deref())
}

/// The charts of the check standards, and of the other charted histories whose items are `asked` for.
fn charts(
    histories: &Histories,
    by: &ChartedBy<'_>,
    asked: &(dyn Fn(&Item) -> bool + Sync),
) -> BTreeMap<usize, ItemChart> {
    let wanted = |history: &History<'_>| {
        let asked = history.item.role == Role::CheckStandard || asked(history.item);
        asked && is_charted(history, by.control)
    };
    (0..histories.len())
        .into_par_iter()
        .filter(|index| wanted(&histories.get(*index)))
        .map(|index| (index, chart(histories, index, by)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decisions::testing::extending;
    use crate::drift::Status;
    use crate::drift::class::classes::class_parameters;
    use crate::drift::testing::unfitted;
    use crate::intervals::testing::evidence;
    use crate::records::About;
    use crate::records::testing::{Record, fleet};

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
        assert!(held.reason.contains(words), "{}", held.reason);
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
        assert!(
            own.reason.contains("the check standard is out of control"),
            "{}",
            own.reason
        );
    }
}
