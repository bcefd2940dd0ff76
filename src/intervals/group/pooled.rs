/*! The group form of the rules that act on single outcomes.

Staircase, simple and incremental response are published as steps after one result
of one item. For a group kept at one interval the step here is the mean, in the
logarithm of the interval, of the steps of all its results at that interval: it
equals the published one for a single result, and it is nought at the same
reliability. (For incremental response the mean is that of the steps themselves,
whose expectation is nought at the target.) The mean is this program's own.
*/

use crate::intervals::evidence::outcomes::Outcomes;
use crate::intervals::{Evidence, GroupEvidence, Method, MethodName, Proposal, Proposed};
use crate::words::{count, days, percent};
use std::borrow::Cow;

/// A method that steps from single outcomes: those of the item, or by its settings those of the group.
pub(crate) trait StepsFromOutcomes: Send + Sync {
    /// Its name in settings and tables.
    const NAME: MethodName;
    /// Whether it looks at the results of the item's group.
    fn is_pooled(&self) -> bool;
    /// Its proposal from the results of a group at one interval, of which there are some.
    fn of_results(&self, pool: &Pool<'_>) -> Proposal;
    /// Its proposal from the results of a group at one interval.
    fn of_pool(&self, pool: &Pool<'_>) -> Proposal {
        match pool.seen.checks {
            0 => pool.none(Self::NAME),
            _ => self.of_results(pool),
        }
    }
    /// Its proposal from the item's own record.
    fn of_item(&self, evidence: &Evidence<'_>) -> Proposed;
}

/// What a rule that was `replayed` over the whole record says after the step of the last check,
/// else the step's own `from` and to: "from 12 d to 15 d".
pub(crate) fn led_to(replayed: bool, from: &str, (start, interval): (f64, f64)) -> String {
    match replayed {
        true => format!(
            "; the whole record, replayed from the interval of {} in use, leads to {}",
            days(start),
            days(interval)
        ),
        false => format!("{from} {} to {}", days(start), days(interval)),
    }
}

impl<M: StepsFromOutcomes> Method for M {
    fn name(&self) -> MethodName {
        Self::NAME
    }

    fn asks_group(&self) -> bool {
        self.is_pooled()
    }

    fn proposal(&self, evidence: &Evidence<'_>, group: &GroupEvidence) -> Proposed {
        let pool = self.is_pooled().then(|| Pool::of(evidence, group));
        match pool.flatten() {
            Some(pool) => Ok(self.of_pool(&pool)),
            None => self.of_item(evidence),
        }
    }
}

/// Results at one interval, of one group: what a group form looks at.
#[derive(Debug, Clone)]
pub(crate) struct Pool<'a> {
    /// The results at or near the interval.
    pub seen: Cow<'a, Outcomes>,
    /// The interval, days.
    pub interval: f64,
    /// Reliability target.
    pub target: f64,
    /// Name of the group.
    pub group: &'a str,
}

impl<'a> Pool<'a> {
    /// Results of the item's group at its interval in use; `None` where it states no group, or
    /// nothing says what in tolerance means for it.
    pub(crate) fn of(evidence: &Evidence<'_>, group: &'a GroupEvidence) -> Option<Self> {
        let judged = !group.name.is_empty() && !evidence.in_or_out_unknown();
        judged.then(|| Self {
            seen: group.outcomes_near(evidence.current_interval),
            interval: evidence.current_interval,
            target: evidence.target,
            group: &group.name,
        })
    }

    /// The proposal of a rule whose mean step over the results is `factor`; `step` says how it
    /// came about.
    pub(crate) fn proposal(&self, method: MethodName, factor: f64, step: &str) -> Proposal {
        let does = match factor {
            f if f > 1.0 => "lengthens",
            f if f < 1.0 => "shortens",
            _ => "keeps",
        };
        let reason = format!(
            "{} of group \"{}\" near {} were in tolerance: {step}, which {does} the interval to {}",
            self.counted(),
            self.group,
            days(self.interval),
            days(self.interval * factor)
        );
        let basis = format!(
            "{} of its group",
            count(self.seen.checks as usize, "result")
        );
        let weight = self.seen.checks as f64;
        Proposal::of(method, self.interval * factor, weight, basis, reason)
    }

    /// "18 of 20 results (90 %)".
    fn counted(&self) -> String {
        format!(
            "{} of {} ({})",
            self.seen.inside,
            count(self.seen.checks as usize, "result"),
            percent(self.seen.proportion())
        )
    }

    /// The answer where no result was seen.
    pub(crate) fn none(&self, method: MethodName) -> Proposal {
        let because = format!(
            "group \"{}\" has no result within about a quarter of {}",
            self.group,
            days(self.interval)
        );
        Proposal::not_applicable(method, because)
    }

    /// Mean of `inside` for each of the first `n` results and of `outside` for those out of
    /// tolerance, over all results; steps that no result takes do not count.
    pub(crate) fn mean_step(&self, n: u64, inside: f64, outside: f64) -> f64 {
        let part = |times: u64, step: f64| if times == 0 { 0.0 } else { times as f64 * step };
        (part(n, inside) + part(self.seen.outside(), outside)) / self.seen.checks as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::methods::incremental_response::{
        IncrementalResponse, IncrementalResponseSettings,
    };
    use crate::intervals::methods::simple_response::balanced_reliability;
    use crate::intervals::methods::simple_response::{SimpleResponse, SimpleResponseSettings};
    use crate::intervals::methods::staircase::{Staircase, StaircaseSettings};
    use crate::intervals::testing::*;

    /// One item a result, each checked twice a year apart: `found` at the second check.
    fn group(found: &[f64]) -> (crate::records::Histories, EvidenceByGroup) {
        let member = |(i, error): (usize, &f64)| {
            let mut record = Record::new();
            record.item.instrument = format!("G-{i:03}");
            record.item.group = "gauges".into();
            // One result a year, so that the rounds follow each other.
            let day = 10_000.0 + 366.0 * i as f64;
            record.check(day, 0.0).check(day + 365.0, *error)
        };
        let histories = fleet(found.iter().enumerate().map(member));
        let groups = EvidenceByGroup::build(&histories, Default::default());
        (histories, groups)
    }

    fn proposed(method: &dyn Method, found: &[f64]) -> Proposal {
        let (histories, groups) = group(found);
        let fit = unfitted(Status::NoReading);
        let evidence = evidence(&histories, &fit);
        method.propose(&evidence, groups.of(&histories.items[0]))
    }

    fn simple(b: Option<f64>) -> SimpleResponse {
        let settings = SimpleResponseSettings {
            shorten_by: b,
            pooled: true,
            ..Default::default()
        };
        SimpleResponse { settings }
    }

    /// The mean step of one result is the published step; over a worked sequence its sum is
    /// the published interval (check value 3 of interval-practice.md, 12 → 4.304893).
    #[test]
    fn simple_response_takes_the_mean_step() {
        let days = |p: Proposal| p.interval_days.unwrap();
        near!(days(proposed(&simple(None), &[0.5])) / 365.0, 1.1, 1e-12);
        let sequence = [0.5, 0.5, 2.0, 0.5, 0.5, 0.5, 2.0, 0.5];
        let factor = days(proposed(&simple(Some(0.55)), &sequence)) / 365.0;
        near!(12.0 * factor.powi(8), 4.304_893, 5e-7);
        // Nought at the reliability where the steps balance.
        let balance = balanced_reliability(0.1, 0.55);
        assert!(
            balance > 0.75 && factor < 1.0,
            "6 of 8 lies below {balance}"
        );
    }

    #[test]
    fn staircase_counts_what_lies_within_the_margin() {
        let settings = StaircaseSettings {
            pooled: true,
            ..Default::default()
        };
        let method = Staircase { settings };
        let found = proposed(&method, &[0.8, -0.3, 0.81, 0.95, 2.0]);
        let expected = 365.0 * ((2.0 * 1.25f64.ln() + 0.5f64.ln()) / 5.0).exp();
        near!(
            found.interval_days.unwrap(),
            expected,
            1e-9,
            "{}",
            found.reason()
        );
        assert_eq!(found.weight, 5.0);
        let alone = proposed(&method, &[0.9]);
        assert_eq!(alone.interval_days, Some(365.0));
        says!(alone.reason(), "keeps");
    }

    /// At the target the mean step is nought; each year on the other side of it halves the step.
    #[test]
    fn incremental_response_rests_at_the_target() {
        let settings = IncrementalResponseSettings {
            pooled: true,
            ..Default::default()
        };
        let method = IncrementalResponse { settings };
        let mut found = vec![0.5; 19];
        found.push(2.0);
        let rest = proposed(&method, &found);
        near!(
            rest.interval_days.unwrap() / 365.0,
            1.0,
            1e-12,
            "{}",
            rest.reason()
        );
        // Nine in ten, the failure in the last year: one change of side, Δ = ½.
        let mut found = vec![0.5; 9];
        found.push(2.0);
        let short = proposed(&method, &found);
        let expected = 365.0 * (1.0 + 0.5 * (0.9 - 0.95));
        near!(
            short.interval_days.unwrap(),
            expected,
            1e-9,
            "{}",
            short.reason()
        );
    }

    #[test]
    fn a_group_that_was_never_at_this_interval_says_so() {
        let (histories, groups) = group(&[0.1]);
        let fit = unfitted(Status::NoReading);
        let mut evidence = evidence(&histories, &fit);
        evidence.current_interval = 30.0;
        let found = simple(None).propose(&evidence, groups.of(&histories.items[0]));
        assert_eq!(
            found.reason(),
            "not applicable, because group \"gauges\" has no result within about a quarter of 30 d"
        );
    }
}
