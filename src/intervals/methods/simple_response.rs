/*! Simple response: lengthen by a fixed share after each pass, shorten by another after each failure.

```text
I' = I · (1 + a)   in tolerance as found
I' = I · (1 − b)   out of tolerance
```

The interval has no trend (in ln I) where the reliability is
R = −ln(1 − b) / [ln(1 + a) − ln(1 − b)], so a target T asks for
b = 1 − (1 + a)^(−T/(1 − T)). The method is one of the recommended-practice
literature on interval adjustment (NCSL International RP-1 and the simulation
papers around it); the relations are derived here. It never settles.
*/

use crate::intervals::group::pooled::{Pool, StepsFromOutcomes, led_to};
use crate::intervals::{Evidence, MethodName, NoProposal, Proposal, Proposed};
use crate::records::Outcome;
use crate::words::{count, percent, significant};

crate::settings! {
    /// Simple response: fixed shares after each pass and each failure.
    pub struct SimpleResponseSettings in "intervals.simple_response" {
        /// Share by which a pass lengthens the interval.
        lengthen_by: f64 = 0.1 => above(0.0),
        /// Share by which a failure shortens it; none = the share that balances at the reliability target.
        shorten_by: Option<f64> = None => PROBABILITY,
        /// Replay every check of the record from the interval in use, instead of acting on the last one.
        replay: bool = false,
        /// Take the mean step over the results of the item's group at the same interval, where it states a group; false = the item's own record.
        pooled: bool = false,
    }
}

impl SimpleResponseSettings {
    /// Shares a and b at `target`.
    fn shares(&self, target: f64) -> (f64, f64) {
        let a = self.lengthen_by;
        (
            a,
            self.shorten_by
                .unwrap_or_else(|| balancing_share(a, target)),
        )
    }

    /// Reliability at which the steps balance: the target, unless both shares are set.
    fn balance(&self, a: f64, target: f64) -> f64 {
        self.shorten_by
            .map_or(target, |b| balanced_reliability(a, b))
    }
}

/// Reliability at which shares `a` and `b` balance.
pub(crate) fn balanced_reliability(a: f64, b: f64) -> f64 {
    let (up, down) = (a.ln_1p(), -(-b).ln_1p());
    down / (up + down)
}

/// Share `b` that balances `a` at the reliability `target`.
fn balancing_share(a: f64, target: f64) -> f64 {
    1.0 - (1.0 + a).powf(-target / (1.0 - target))
}

/// The method.
#[derive(Debug, Clone, Default)]
pub(crate) struct SimpleResponse {
    pub settings: SimpleResponseSettings,
}

impl StepsFromOutcomes for SimpleResponse {
    const NAME: MethodName = MethodName::SimpleResponse;

    fn is_pooled(&self) -> bool {
        self.settings.pooled
    }

    /// The group form: the mean step over the pooled results.
    fn of_results(&self, pool: &Pool<'_>) -> Proposal {
        let (a, b) = self.settings.shares(pool.target);
        let balance = self.settings.balance(a, pool.target);
        let factor = pool
            .mean_step(pool.seen.inside, a.ln_1p(), (-b).ln_1p())
            .exp();
        let step = format!(
            "steps that balance at a reliability of {}, a mean factor of {}",
            percent(balance),
            significant(factor, 4)
        );
        pool.proposal(Self::NAME, factor, &step)
    }

    fn of_item(&self, evidence: &Evidence<'_>) -> Proposed {
        let last = evidence.judged().last();
        let (_, last) = last.ok_or(NoProposal::NoOutcome)?;
        let (a, b) = self.settings.shares(evidence.target);
        let balance = self.settings.balance(a, evidence.target);
        let step = |days: f64, outcome| match outcome {
            Outcome::Out => days * (1.0 - b),
            _ => days * (1.0 + a),
        };
        let start = evidence.current_interval;
        let interval = if self.settings.replay {
            evidence.judged().fold(start, |days, (_, o)| step(days, o))
        } else {
            step(start, last)
        };
        let (found, change) = match last {
            Outcome::Out => ("out of", format!("shortens the interval by {}", percent(b))),
            _ => ("in", format!("lengthens the interval by {}", percent(a))),
        };
        let reason = format!(
            "found {found} tolerance at the last check, which {change}{}; these steps balance at a reliability of {}",
            led_to(self.settings.replay, ", from", (start, interval)),
            percent(balance)
        );
        let checks = evidence.judged().count();
        let basis = if self.settings.replay {
            format!(
                "{}, replayed from the interval in use",
                count(checks, "check")
            )
        } else {
            "the last check".into()
        };
        Ok(Proposal::of(Self::NAME, interval, 1.0, basis, reason))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::*;

    /// Check values 1 and 2 of interval-practice.md (code block A, Python, computed there).
    #[test]
    fn shares_balance_where_the_facts_sheet_says() {
        near!(balanced_reliability(0.1, 0.55), 0.893_367_3, 5e-8);
        for (target, b) in [
            (0.85, 0.417_304_8),
            (0.90, 0.575_902_4),
            (0.95, 0.836_492_0),
        ] {
            near!(balancing_share(0.1, target), b, 5e-8);
            near!(
                balanced_reliability(0.1, balancing_share(0.1, target)),
                target,
                1e-14
            );
        }
    }

    fn record_of(outcomes: &[bool]) -> Record {
        let days = (0u32..).map(|i| 30.0 * f64::from(i));
        let pairs = days.zip(outcomes);
        let mut record = pairs.fold(Record::new(), |r, (day, inside)| r.outcome(day, *inside));
        record.item.interval_days = Some(12.0);
        record
    }

    /// Check value 3 of interval-practice.md (worked example 2.1).
    #[test]
    fn the_worked_sequence_is_reproduced() {
        let record = record_of(&[true, true, false, true, true, true, false, true]);
        let settings = SimpleResponseSettings {
            shorten_by: Some(0.55),
            replay: true,
            ..Default::default()
        };
        let method = SimpleResponse { settings };
        let found = alone(&method, record);
        near!(found.interval_days.unwrap(), 4.304_893, 5e-7);
        // So high a target that one failure takes the whole interval: still no NaN.
        let mut strict = record_of(&[false]);
        strict.item.reliability_target = Some(0.999_999);
        let found = alone(&SimpleResponse::default(), strict);
        assert!(
            found.reason().ends_with("more than 99.9 %"),
            "{}",
            found.reason()
        );
        let last = alone(&SimpleResponse::default(), record_of(&[true]));
        assert_eq!(last.interval_days, Some(12.0 * 1.1));
    }
}
