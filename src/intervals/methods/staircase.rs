/*! Staircase: lengthen after a check well inside the limits, shorten after one outside.

ILAC-G24:2022 / OIML D 10:2022, method 1, "automatic adjustment or staircase
(calendar-time)". The guide's example lengthens where the error as found lies
within 80 % of the maximum permissible error and shortens where it lies outside
it; it prescribes no step. The steps here are settings: a policy, not a statistic.

With q = |error as found − centre| / half-width of the tolerance:
I' = I · lengthen if q ≤ margin; I' = I if margin < q ≤ 1; I' = I · shorten if q > 1.
*/

use crate::intervals::group::pooled::{Pool, StepsFromOutcomes, led_to};
use crate::intervals::{Evidence, MethodName, NoProposal, Proposal, Proposed};
use crate::records::Outcome;
use crate::words::{count, date, days, figure, percent, significant};

crate::settings! {
    /// Staircase (ILAC-G24 / OIML D 10 method 1).
    pub struct StaircaseSettings in "intervals.staircase" {
        /// Share of the tolerance within which an error as found lengthens the interval (the guide's example: 0.8).
        margin: f64 = 0.8 => above(0.0).at_most(1.0),
        /// Factor of the interval after a check within the margin.
        lengthen: f64 = 1.25 => at_least(1.0),
        /// Factor of the interval after a check out of tolerance.
        shorten: f64 = 0.5 => above(0.0).at_most(1.0),
        /// Replay every check of the record from the interval in use, instead of acting on the last one.
        replay: bool = false,
        /// Take the mean step over the results of the item's group at the same interval, where it states a group; false = the item's own record.
        pooled: bool = false,
    }
}

impl StaircaseSettings {
    /// Factor of the interval after one check: `share` is the part of the tolerance
    /// used up as found, where the value is known.
    fn factor(&self, share: Option<f64>, outcome: Outcome) -> f64 {
        match (share, outcome) {
            (_, Outcome::Out) => self.shorten,
            (Some(q), Outcome::In) if q <= self.margin => self.lengthen,
            _ => 1.0,
        }
    }
}

/// The method.
#[derive(Debug, Clone, Default)]
pub(crate) struct Staircase {
    pub settings: StaircaseSettings,
}

impl StepsFromOutcomes for Staircase {
    const NAME: MethodName = MethodName::Staircase;

    fn is_pooled(&self) -> bool {
        self.settings.pooled
    }

    /// The group form: the mean step over the pooled results.
    fn of_results(&self, pool: &Pool<'_>) -> Proposal {
        let within = pool.seen.within(self.settings.margin);
        let factor = pool
            .mean_step(
                within,
                self.settings.lengthen.ln(),
                self.settings.shorten.ln(),
            )
            .exp();
        let margin = percent(self.settings.margin);
        let used = match pool.seen.tells_values() {
            true => format!("{within} used up at most {margin} of the tolerance"),
            false => "none of them says how much of the tolerance was used up".into(),
        };
        let step = format!(
            "{used} and {} lay outside, a mean factor of {}",
            pool.seen.outside(),
            significant(factor, 4)
        );
        pool.proposal(Self::NAME, factor, &step)
    }

    fn of_item(&self, evidence: &Evidence<'_>) -> Proposed {
        let last = evidence.judged().last();
        let (last, outcome) = last.ok_or(NoProposal::NoOutcome)?;
        let judge = |i: usize| {
            let tolerance = evidence.history.tolerance_at(i).or(evidence.tolerance);
            tolerance.and_then(|t| t.share_used(evidence.history.as_found[i]))
        };
        let interval = if self.settings.replay {
            evidence
                .judged()
                .fold(evidence.current_interval, |days, (i, o)| {
                    evidence.bounded(days * self.settings.factor(judge(i), o))
                })
        } else {
            evidence.current_interval * self.settings.factor(judge(last), outcome)
        };
        let reason = self.reason(evidence, last, judge(last), outcome, interval);
        let basis = if self.settings.replay {
            count(evidence.judged().count(), "check") + ", replayed from the interval in use"
        } else {
            format!("the check of {}", date(evidence.history.date[last]))
        };
        Ok(Proposal::of(Self::NAME, interval, 1.0, basis, reason))
    }
}

impl Staircase {
    fn reason(
        &self,
        evidence: &Evidence<'_>,
        check: usize,
        share: Option<f64>,
        outcome: Outcome,
        interval: f64,
    ) -> String {
        let unit = &evidence.history.item.unit;
        let found = match share {
            Some(q) => format!(
                "{} as found is {} of the tolerance",
                figure(evidence.history.as_found[check], unit),
                percent(q)
            ),
            None if evidence.history.as_found[check].is_finite() => format!(
                "{} as found is {}, but a limit on one side that leaves zero out does not tell how much of the tolerance is used",
                figure(evidence.history.as_found[check], unit),
                if outcome == Outcome::In {
                    "in tolerance"
                } else {
                    "out of tolerance"
                },
            ),
            None if outcome == Outcome::In => {
                "in tolerance as found, but by how much is not known".into()
            }
            None => "out of tolerance as found".into(),
        };
        let margin = percent(self.settings.margin);
        let place = match (share, self.settings.factor(share, outcome)) {
            (None, factor) if factor < 1.0 => String::new(),
            (None, _) => String::new(),
            (_, factor) if factor > 1.0 => format!(": within the margin of {margin}"),
            (_, factor) if factor < 1.0 => ": outside".into(),
            _ => format!(": inside, but not within the margin of {margin}"),
        };
        let current = evidence.current_interval;
        let replayed = self.settings.replay;
        let does = match self.settings.factor(share, outcome) {
            factor if factor > 1.0 => "lengthens the interval",
            factor if factor < 1.0 => "shortens the interval",
            _ if replayed => "keeps the interval",
            _ => {
                return format!(
                    "{found}{place}, which keeps the interval at {}",
                    days(interval)
                );
            }
        };
        let led = led_to(replayed, " of", (current, interval));
        format!("{found}{place}, which {does}{led}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::*;
    use crate::records::Tolerance;

    /// Months of the worked example, taken as days: the rule has no unit.
    fn replay(found: &[f64]) -> Proposal {
        let mut record = Record::new();
        record.item.tolerance = Tolerance::new(-10.0, 10.0);
        record.item.interval_days = Some(12.0);
        record.item.floor_days = Some(1.0);
        for (i, error) in found.iter().enumerate() {
            record = record.check(i as f64 * 12.0, *error);
        }
        let method = Staircase {
            settings: StaircaseSettings {
                replay: true,
                ..Default::default()
            },
        };
        alone(&method, record)
    }

    fn replayed(found: &[f64]) -> f64 {
        replay(found).interval_days.unwrap()
    }

    /// Worked example of the facts sheet interval-practice.md 1.3 (computed there from
    /// the rule of ILAC-G24 method 1, steps 0.25 and 0.5, margin 0.8), exact in binary.
    #[test]
    fn the_worked_sequence_is_reproduced() {
        let found = [6.0, 8.5, 3.1, 11.2, 7.9];
        let expected = [15.0, 15.0, 18.75, 9.375, 11.71875];
        for n in 1..=found.len() {
            assert_eq!(replayed(&found[..n]), expected[n - 1]);
        }
    }

    /// "which shortens the interval of 12 d to 15 d" was said where a replay lengthened it before.
    #[test]
    fn a_replay_says_where_the_record_leads() {
        let reason = replay(&[6.0, 6.0, 6.0, 11.2]).reason();
        assert_eq!(
            reason,
            "11.2 mK as found is 112 % of the tolerance: outside, which shortens the interval; \
             the whole record, replayed from the interval of 12 d in use, leads to 11 d"
        );
    }

    #[test]
    fn by_default_only_the_last_check_acts() {
        let proposal = alone(
            &Staircase::default(),
            Record::new().check(0.0, 3.0).left(0.0).check(400.0, 0.2),
        );
        assert_eq!(proposal.interval_days, Some(365.0 * 1.25));
        assert_eq!(
            proposal.reason(),
            "0.2 mK as found is 20 % of the tolerance: within the margin of 80 %, which lengthens the interval of 365 d to 456 d"
        );
    }

    #[test]
    fn an_outcome_without_a_value_never_lengthens() {
        let proposal = alone(&Staircase::default(), Record::new().outcome(0.0, true));
        assert_eq!(proposal.interval_days, Some(365.0));
    }

    #[test]
    fn a_one_sided_tolerance_is_used_up_from_zero() {
        let at_most = Tolerance::new(f64::NEG_INFINITY, 2.0).unwrap();
        assert_eq!(at_most.share_used(1.0), Some(0.5));
        assert_eq!(at_most.share_used(-5.0), Some(0.0));
        let zero = Tolerance::new(f64::NEG_INFINITY, 0.0).unwrap();
        assert_eq!(zero.share_used(0.0), None);
    }

    /// A pressure of 507 that must be 490 at least was "103.5 % of the tolerance: inside".
    #[test]
    fn one_limit_that_leaves_zero_out_says_no_share() {
        let at_least = Tolerance::new(490.0, f64::INFINITY);
        for (found, place, days) in [
            (507.0, "in tolerance", 365.0),
            (480.0, "out of tolerance", 182.5),
        ] {
            let mut record = Record::new().check(0.0, found);
            record.item.tolerance = at_least;
            let proposal = alone(&Staircase::default(), record);
            assert_eq!(proposal.interval_days, Some(days));
            let reason = proposal.reason();
            assert!(reason.contains(place) && !reason.contains('%'), "{reason}");
        }
    }
}
