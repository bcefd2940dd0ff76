/*! Failures that an earlier run read and that its records no longer hold: a failure stands until a named person
has closed it, whatever became of its row. */

use super::before::{Before, Gone};
use crate::conformity::DecisionRule;
use crate::decisions::cases::closings::Closings;
use crate::decisions::cases::{CaseStanding, failure_days, standing};
use crate::ledger::state::KeptHistory;
use crate::records::{Histories, History, Warning, date};
use crate::words::{and_more, neutralised};
use std::collections::HashMap;

impl Before {
    /// The failures that the run compared with knew and `histories` lack, and the names of items that are gone with theirs.
    fn gone_failures<'k>(
        &'k self,
        histories: &Histories,
        rule: &DecisionRule,
    ) -> (Gone, Vec<&'k KeptHistory>) {
        let failed = self.previous.iter().flat_map(|run| &run.histories);
        let failed: Vec<&KeptHistory> = failed.filter(|kept| !kept.failures.is_empty()).collect();
        let (mut gone, mut vanished) = (Gone::new(), Vec::new());
        if failed.is_empty() {
            return (gone, vanished);
        }
        let mut places = HashMap::new();
        for (place, item) in histories.items.iter().enumerate() {
            let point = neutralised(&item.point);
            for name in std::iter::once(&item.instrument).chain(&item.formerly) {
                places.insert((neutralised(name), point.clone()), place);
            }
        }
        for kept in failed {
            let key = (kept.instrument.as_str().into(), kept.point.as_str().into());
            let Some(&place) = places.get(&key) else {
                vanished.push(kept);
                continue;
            };
            let now = failure_days(&histories.get(place), rule);
            let mut days = kept.failure_days();
            days.retain(|day| !now.contains(day));
            if !days.is_empty() {
                gone.entry(place).or_default().extend(days);
            }
        }
        (gone, vanished)
    }

    /// The days of the failures of history `index` that the run compared with knew and `histories` lack.
    pub(crate) fn gone_days(
        &self,
        histories: &Histories,
        index: usize,
        rule: &DecisionRule,
    ) -> Vec<f64> {
        let mut gone = self.gone_failures(histories, rule).0;
        gone.remove(&index).unwrap_or_default()
    }

    /// Remembers the failures that the run compared with knew and `histories` lack: those that nobody has closed are
    /// a contradiction of the record, which a person must settle. Returns what is to be said of them.
    pub(crate) fn remember_failures(
        &mut self,
        histories: &mut Histories,
        rule: &DecisionRule,
        book: Option<&Closings>,
        as_of: f64,
    ) -> Vec<Warning> {
        let run = self
            .previous
            .as_ref()
            .map_or(String::new(), |run| date::iso(run.day));
        let (gone, vanished) = self.gone_failures(histories, rule);
        let mut warnings = Vec::new();
        for (&place, days) in &gone {
            let history = histories.get(place);
            let stands = |day: &&f64| {
                let became = standing(&history, **day, book, as_of);
                matches!(became, CaseStanding::Open | CaseStanding::NotKept)
            };
            let days: Vec<f64> = days.iter().filter(stands).copied().collect();
            let Some(words) = words(&history, &days, &run, book.is_some()) else {
                continue;
            };
            let item = &mut histories.items[place];
            warnings.push(Warning::new(item.name(), &words));
            item.contradiction = Some(match item.contradiction.take() {
                None => words,
                Some(own) => format!("{own}; {words}"),
            });
        }
        for kept in vanished {
            let words = format!(
                "the run of {run} knew a failure of {}, and all checks are gone from the records",
                kept.failures.split(' ').next().unwrap_or_default()
            );
            warnings.push(Warning::new(kept.name(), words));
        }
        self.gone = gone;
        warnings
    }

    /// Adds the failures that are gone to what the next run will know, where a book is kept in which they can be closed.
    pub(crate) fn carry_failures(&self, states: &mut [KeptHistory], is_kept: bool) {
        let gone = self.gone.iter().filter(|_| is_kept);
        for (&place, days) in gone {
            if let Some(state) = states.get_mut(place) {
                let mut all = state.failure_days();
                all.extend(days);
                all.sort_by(f64::total_cmp);
                state.failures = KeptHistory::days_as_text(&all);
            }
        }
    }
}

/// What is said of the failures of `days` that the run of `run` knew, by the first of them; `None` where there are none.
fn words(history: &History<'_>, days: &[f64], run: &str, is_kept: bool) -> Option<String> {
    let day = *days.first()?;
    let there = history.date.iter().any(|date| date.floor() == day);
    let became = match there {
        true => "is none by the records now",
        false => "is gone from the records",
    };
    let close = match is_kept {
        true => "and nobody has closed its case",
        false => "and no book of cases ([cases] file) says that a person has closed the matter",
    };
    Some(format!(
        "the failure of {}{}, which the run of {run} read, {became}, {close}",
        date::iso(day),
        and_more(days.len() - 1)
    ))
}
