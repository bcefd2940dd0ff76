/*! The rules between the leading proposal and the interval, one function a rule. */

use super::decision::{Action, PastDecision};
use super::held_interval::held_days;
use super::rule::Rule;
use super::settings::Rules;
use crate::drift::Status;
use crate::intervals::Evidence;
use crate::records::{DAYS_PER_YEAR, Outcome};
use crate::words::{days, percent};

/// What rounding of the computer's own may take from a whole day.
const ROUNDING_DAYS: f64 = 1e-6;

/// An interval on its way to the decision, and the rules that moved it.
pub(crate) struct Draft {
    pub days: f64,
    pub fired: Vec<Rule>,
    /// True where a person is to look before the interval may grow.
    pub asks: bool,
    /// True where nothing may lengthen the interval in use, not even a floor.
    pub vetoed: bool,
}

impl Draft {
    /// The interval that leads, before any rule.
    pub(crate) fn leading(days: f64) -> Self {
        Self {
            days,
            fired: Vec::new(),
            asks: false,
            vetoed: false,
        }
    }

    /// The interval in use where nothing leads: no rule has a reason to lengthen it.
    pub(crate) fn in_use(days: f64) -> Self {
        Self {
            vetoed: true,
            ..Self::leading(days)
        }
    }

    pub(crate) fn limit(&mut self, most: f64, rule: impl FnOnce() -> Rule) {
        if self.days > most {
            self.days = most;
            self.fired.push(rule());
        }
    }

    fn veto(&mut self, current: f64, rule: impl FnOnce() -> Rule) {
        self.vetoed = true;
        self.limit(current, rule);
    }
}

/// An interval that is not exceeded, and why.
pub(crate) struct Most {
    pub days: f64,
    pub rule: Rule,
}

/// "only 92.6 %", below a target; no figure while none is stated of the item.
pub(crate) fn too_little(evidence: &Evidence<'_>, probability: f64) -> String {
    match evidence.level_in_doubt {
        true => "too little".to_string(),
        false => format!("only {}", percent(probability)),
    }
}

/// What the rules look at.
pub(crate) struct Case<'a> {
    pub evidence: &'a Evidence<'a>,
    pub rules: Rules<'a>,
    pub past: &'a [PastDecision],
}

impl Case<'_> {
    /// True where the register's criticality is one of `words`, whatever their case.
    pub(crate) fn criticality_in(&self, words: &[String]) -> bool {
        let stated = self.evidence.history.item.criticality.trim();
        words
            .iter()
            .any(|word| word.trim().eq_ignore_ascii_case(stated) && !stated.is_empty())
    }

    pub(crate) fn largest_change(&self, draft: &mut Draft) {
        let current = self.evidence.current_interval;
        // A return to an interval that the item has held is no growth.
        let most = (current * self.rules.largest_extension).max(held_days(self.evidence));
        let least = current * self.rules.largest_shortening;
        draft.limit(most, || {
            let returns = match most > current * self.rules.largest_extension {
                true => ", or to one that it has held before",
                false => "",
            };
            Rule::new(
                format!(
                    "an interval grows at most {} times at once",
                    self.rules.largest_extension
                ),
                &format!("{returns}: {}", days(most)),
            )
        });
        let grown = current * self.rules.largest_extension;
        if draft.fired.is_empty() && draft.days > grown {
            draft.fired.push(Rule::new(
                format!("more than {} times at once", self.rules.largest_extension),
                &format!(
                    ", since the item has held {} before",
                    days(held_days(self.evidence))
                ),
            ));
        }
        if draft.days < least {
            draft.days = least;
            draft.fired.push(Rule::new(
                format!(
                    "an interval shrinks at most to {} of itself at once",
                    percent(self.rules.largest_shortening)
                ),
                &format!(": {}", days(least)),
            ));
        }
    }

    pub(crate) fn vetoes(&self, draft: &mut Draft) {
        let current = self.evidence.current_interval;
        let failed = self
            .evidence
            .last_judged()
            .is_some_and(|(_, o)| o == Outcome::Out);
        if failed {
            draft.veto(current, || {
                "a failed last check never leads to an extension".into()
            });
        }
        if self.evidence.fit.status == Status::Failed {
            draft.veto(current, || {
                Rule::new(
                    "its values could not be fitted",
                    ", and without a forecast of them it is not extended",
                )
            });
        }
        let checks = self.evidence.history.len();
        if checks < self.rules.checks_to_extend as usize {
            draft.veto(current, || {
                format!(
                    "an item with fewer than {} checks is not extended",
                    self.rules.checks_to_extend
                )
                .into()
            });
        }
        if self.criticality_in(&self.rules.settings.never_extend) {
            draft.veto(current, || {
                format!(
                    "criticality \"{}\" forbids an extension",
                    self.evidence.history.item.criticality
                )
                .into()
            });
        }
        let Some(allowed) = self.rules.extensions_per_year else {
            return;
        };
        let year = self.evidence.as_of - DAYS_PER_YEAR..self.evidence.as_of;
        let made = self
            .past
            .iter()
            .filter(|d| d.action == Action::Extend && year.contains(&d.day));
        if made.count() >= allowed as usize {
            draft.veto(current, || match allowed {
                1 => "one extension within a year is allowed and was made".into(),
                n => format!("{n} extensions within a year are allowed and were made").into(),
            });
        }
    }

    pub(crate) fn smallest_change(&self, draft: &mut Draft) {
        let current = self.evidence.current_interval;
        let change = (draft.days / current - 1.0).abs();
        if change > 0.0 && change < self.rules.settings.smallest_change {
            draft.fired.push(Rule::new(
                format!(
                    "a change of less than {} is not made",
                    percent(self.rules.settings.smallest_change)
                ),
                &format!(": {} stays", days(current)),
            ));
            draft.days = current;
        }
    }

    /// Up to the shortest interval allowed; where a veto stands no further than the interval in use.
    pub(crate) fn floor(&self, draft: &mut Draft) {
        let floor = self.evidence.floor;
        let least = match draft.vetoed {
            true => floor.min(self.evidence.current_interval),
            false => floor,
        };
        if draft.days < least {
            let stays = match least < floor {
                true => format!(", is longer than the one in use, and {} stay", days(least)),
                false => format!(", replaces {}", days(draft.days)),
            };
            let rest = format!(", {}{stays}", days(floor));
            let rule = Rule::new("the shortest interval allowed", &rest);
            draft.fired.push(rule);
            draft.days = least;
        }
    }

    pub(crate) fn cap(&self, draft: &mut Draft) {
        let cap = self.evidence.cap;
        let whose = if self.evidence.cap_is_the_registers() {
            "the register's cap"
        } else {
            "the longest interval allowed"
        };
        let asked = draft.days;
        draft.limit(cap, || {
            Rule::new(
                whose,
                &format!(
                    ", {}, is not exceeded; {} were asked for",
                    days(cap),
                    days(asked)
                ),
            )
        });
    }

    /// Down to a listed interval or a whole day; the interval in use is left as it is.
    pub(crate) fn round(&self, draft: &mut Draft) {
        if draft.days == self.evidence.current_interval {
            return;
        }
        let allowed = |d: &f64| *d <= draft.days && *d >= self.evidence.floor;
        let listed = self.rules.listed_days.iter().copied().filter(allowed);
        if let Some(choice) = listed.max_by(f64::total_cmp) {
            if choice < draft.days {
                let rule = format!(
                    "the longest listed interval within {} is {}",
                    days(draft.days),
                    days(choice)
                );
                draft.fired.push(rule.into());
            }
            draft.days = choice;
        } else {
            draft.days = (draft.days + ROUNDING_DAYS)
                .floor()
                .max(1.0)
                .min(self.evidence.cap);
        }
    }
}
