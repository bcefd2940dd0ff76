/*! Incremental response: steps that balance at the target and shrink with each change of outcome.

```text
Δ' = Δ / 2^|y' − y|                          y = 1 in, 0 out of tolerance
I' = I · [1 + Δ' · (1 − T)]   after a pass
I' = I · [1 − Δ' · T]         after a failure
```

starting from Δ = 1, y = 1, with T the reliability target. Recurrence of the recommended-practice literature
(NCSL International RP-1), as the facts sheet states it from memory; its check
values were computed there. The step dies out: after some ten changes of outcome
the interval is frozen, right or wrong, so a repair or replacement starts it anew.
*/

use crate::intervals::group::pooled::{Pool, StepsFromOutcomes, led_to};
use crate::intervals::{Evidence, MethodName, NoProposal, Proposal, Proposed};
use crate::records::Outcome;
use crate::words::{count, percent, significant};

crate::settings! {
    /// Incremental response: steps that halve at each change of outcome.
    pub struct IncrementalResponseSettings in "intervals.incremental_response" {
        /// Step before the first check.
        first_step: f64 = 1.0 => above(0.0).at_most(1.0),
        /// Start the step anew after a repair or a replacement.
        restart: bool = true,
        /// Replay every check of the record from the interval in use, instead of acting on the last one.
        replay: bool = false,
        /// Take the mean step over the results of the item's group at the same interval, where it states a group; false = the item's own record.
        pooled: bool = false,
    }
}

/// The method.
#[derive(Debug, Clone, Default)]
pub(crate) struct IncrementalResponse {
    pub settings: IncrementalResponseSettings,
}

impl StepsFromOutcomes for IncrementalResponse {
    const NAME: MethodName = MethodName::IncrementalResponse;

    fn is_pooled(&self) -> bool {
        self.settings.pooled
    }

    /// The group form: the mean step over the pooled results; Δ halves with each year whose
    /// results lie on the other side of the target.
    fn of_results(&self, pool: &Pool<'_>) -> Proposal {
        let (mut step, mut above) = (self.settings.first_step, true);
        for proportion in pool.seen.yearly_proportions() {
            let now = proportion >= pool.target;
            if now != above {
                step *= 0.5;
            }
            above = now;
        }
        // The mean of Δ(1 − T) after a pass and −ΔT after a failure is Δ(p − T).
        let factor = 1.0 + step * (pool.seen.proportion() - pool.target);
        let step = format!(
            "the step is now {} at a target of {}, a mean factor of {}",
            significant(step, 3),
            percent(pool.target),
            significant(factor, 4)
        );
        pool.proposal(Self::NAME, factor, &step)
    }

    fn of_item(&self, evidence: &Evidence<'_>) -> Proposed {
        let (mut step, mut before) = (self.settings.first_step, Outcome::In);
        let (mut replayed, mut factor) = (evidence.current_interval, 1.0);
        let mut checks = 0;
        for (i, outcome) in evidence.judged() {
            if outcome != before {
                step *= 0.5;
            }
            factor = match outcome {
                Outcome::Out => 1.0 - step * evidence.target,
                _ => 1.0 + step * (1.0 - evidence.target),
            };
            replayed *= factor;
            before = outcome;
            checks += 1;
            if self.settings.restart && evidence.history.happened(i).restarts_drift() {
                (step, before) = (self.settings.first_step, Outcome::In);
            }
        }
        if checks == 0 {
            return Err(NoProposal::NoOutcome);
        }
        let interval = if self.settings.replay {
            replayed
        } else {
            evidence.current_interval * factor
        };
        let reason = format!(
            "the outcome of the last check {} the interval{}; the step after {} is {} at a target of {}",
            if factor < 1.0 {
                "shortens"
            } else {
                "lengthens"
            },
            led_to(
                self.settings.replay,
                " of",
                (evidence.current_interval, interval)
            ),
            count(checks, "check"),
            significant(step, 3),
            percent(evidence.target)
        );
        let basis = count(checks, "judged check");
        Ok(Proposal::of(Self::NAME, interval, 1.0, basis, reason))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::*;

    fn last(outcomes: &[bool], target: f64) -> f64 {
        let mut record = Record::new();
        for (i, inside) in outcomes.iter().enumerate() {
            record = record.outcome(i as f64 * 30.0, *inside);
        }
        record.item.interval_days = Some(12.0);
        record.item.reliability_target = Some(target);
        let settings = IncrementalResponseSettings {
            replay: true,
            ..Default::default()
        };
        let method = IncrementalResponse { settings };
        let found = alone(&method, record);
        found.interval_days.unwrap()
    }

    /// Check values 4 and 5 of interval-practice.md, and its whole sequences (2.2).
    #[test]
    fn the_worked_sequences_are_reproduced() {
        let outcomes = [true, true, false, true, true, true, false, true];
        let at_95 = [
            12.6, 13.23, 6.94575, 7.032572, 7.120479, 7.209485, 6.353359, 6.373213,
        ];
        let at_85 = [
            13.8, 15.87, 9.12525, 9.467447, 9.822476, 10.190819, 9.108044, 9.193432,
        ];
        for n in 1..=8 {
            near!(last(&outcomes[..n], 0.95), at_95[n - 1], 1e-6);
            near!(last(&outcomes[..n], 0.85), at_85[n - 1], 1e-6);
        }
    }
}
