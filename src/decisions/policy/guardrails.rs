/*! What no interval passes, whoever leads: the record, the forecast, and what nobody explained.

- An interval grows no further than the item's own record is long, or than the longest
  interval that its class has shown to hold, whichever is the longer. (Bound by both, no
  class could ever grow: nobody has shown what nobody was allowed.)
- An interval grows at most twofold at once. A return to one that the item has held, at whose end
  it was found in tolerance, is no growth: an item kept short while its value was near a limit
  has its interval back once it is adjusted.
- The probability in tolerance on the due date, by the item's own forecast, is at least the
  reliability target, also where least cost leads.
- After a shock, a repair or a step without event at the last calibration or since, the
  readings before it say nothing of the item as it is now: a person looks first.

Each is a setting of the policy. Common practice, no source.
*/

use super::rule::Rule;
use super::rules::{Case, Draft, too_little};
use crate::intervals::search::{Crossing, Forecast, first_below};
use crate::intervals::{Evidence, GroupEvidence};
use crate::records::{Event, History, date as calendar};
use crate::words::{days, percent};

impl Case<'_> {
    /// No growth beyond the item's own record and what its class has shown to hold.
    pub(crate) fn beyond_record(&self, draft: &mut Draft, group: &GroupEvidence) {
        let settings = self.rules.settings;
        let current = self.evidence.current_interval;
        if settings.beyond_record || draft.days <= current {
            return;
        }
        let own = record_days(&self.evidence.history);
        let class = group
            .longest_shown(self.evidence.target, settings.below_target_confidence)
            .unwrap_or(0.0);
        let most = own.max(class).max(current);
        draft.limit(most, || match class > own {
            true => Rule::new(
                format!(
                    "its class has shown {} in tolerance for no longer than {}",
                    percent(self.evidence.target),
                    days(class)
                ),
                &format!(", and its own record is {} long", days(own)),
            ),
            false => Rule::new(
                format!("its own record is {} long", days(own)),
                ", and its class has shown no longer interval to hold",
            ),
        });
    }

    /// No due date on which the forecast of the item's own values is below the target.
    pub(crate) fn below_target_by_forecast(&self, draft: &mut Draft) {
        let evidence = self.evidence;
        let Some(forecast) = self.forecast() else {
            return;
        };
        let probability = |days: f64| forecast.probability_in(days).unwrap_or(f64::NAN);
        let then = probability(draft.days.floor());
        if self.rules.settings.below_target || then.is_nan() || then >= evidence.target {
            return;
        }
        let panels = forecast.panels(0.0, draft.days);
        let most = match first_below(evidence.target, 0.0, &panels, probability) {
            Crossing::AtStart => 0.0,
            Crossing::At(days) => days,
            Crossing::Beyond => return,
        };
        let asked = draft.days;
        draft.limit(most, || {
            Rule::new(
                format!(
                    "after {} the forecast gives {} in tolerance",
                    days(asked),
                    too_little(evidence, then)
                ),
                &format!(
                    ", below the target of {}: at most {}",
                    percent(evidence.target),
                    days(most)
                ),
            )
        });
    }

    /// The probability in tolerance after `days` where it is below the target.
    pub(crate) fn below_target_after(&self, days: f64) -> Option<f64> {
        let then = self.forecast()?.probability_in(days)?;
        (then < self.evidence.target).then_some(then)
    }

    pub(crate) fn forecast(&self) -> Option<Forecast<'_>> {
        Forecast::new(self.evidence).ok()
    }

    /// No growth, and a person asked, after what the readings before do not cover.
    pub(crate) fn after_surprise(&self, draft: &mut Draft) {
        if self.rules.settings.extend_after_surprise {
            return;
        }
        let Some(what) = self.surprise() else {
            return;
        };
        draft.asks = true;
        let current = self.evidence.current_interval;
        if draft.days <= current {
            draft
                .fired
                .push(Rule::new(what, ", and a person judges it first"));
            return;
        }
        draft.limit(current, || {
            let rest = ", and an interval does not grow until a person has judged it";
            Rule::new(what, rest)
        });
    }

    /// "a shock is recorded on 2026-01-02": the newest at the last calibration or since.
    fn surprise(&self) -> Option<String> {
        let (evidence, history) = (self.evidence, &self.evidence.history);
        let since = |row: &usize| history.date[*row] >= evidence.last_calibration;
        (0..history.len()).rev().take_while(since).find_map(|row| {
            let what = match history.happened(row) {
                Event::Shocked => "a shock is recorded",
                Event::Repaired => "a repair is recorded",
                _ if evidence.fit.stepped == Some(row as u32) => {
                    "the value stepped without a recorded event"
                }
                _ => return None,
            };
            Some(format!("{what} on {}", calendar::iso(history.date[row])))
        })
    }
}

/// The interval at whose end the probability in tolerance falls below `target`, whole days
/// within floor and cap; `None` without a forecast or a tolerance.
pub(crate) fn within_forecast(evidence: &Evidence<'_>, target: f64) -> Option<f64> {
    Some(evidence.bounded(by_forecast(evidence, target)?))
}

/// The same, below the floor too.
fn by_forecast(evidence: &Evidence<'_>, target: f64) -> Option<f64> {
    let forecast = Forecast::new(evidence).ok()?;
    evidence.tolerance?;
    let probability = |days: f64| forecast.probability_in(days).unwrap_or(f64::NAN);
    let panels = forecast.panels(0.0, evidence.cap);
    Some(match first_below(target, 0.0, &panels, probability) {
        Crossing::AtStart => 0.0,
        Crossing::At(days) => days.floor(),
        Crossing::Beyond => evidence.cap,
    })
}

/// Targets of the probability in tolerance that a page lists, percent.
const LISTED_TARGETS: std::ops::RangeInclusive<u8> = 90..=99;

/// The interval that the forecast alone gives for each of [`LISTED_TARGETS`]: (target, days, whether it
/// meets the target, which the shortest allowed need not).
pub(crate) fn by_target(evidence: &Evidence<'_>) -> Vec<(f64, f64, bool)> {
    let targets = LISTED_TARGETS.map(|percent| f64::from(percent) / 100.0);
    targets
        .filter_map(|target| {
            let days = by_forecast(evidence, target)?;
            Some((target, evidence.bounded(days), days >= evidence.floor))
        })
        .collect()
}

/// Days from the first check of the item as it is, not of one that it replaced, to the last.
fn record_days(history: &History<'_>) -> f64 {
    let first = (0..history.len())
        .rev()
        .find(|&row| history.happened(row) == Event::Replaced)
        .unwrap_or(0);
    match (history.date.get(first), history.date.last()) {
        (Some(first), Some(last)) => last - first,
        _ => 0.0,
    }
}
