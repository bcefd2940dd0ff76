/*! Interval test: change the interval only where the outcomes at it contradict the target.

Of n results at or near the interval in use, g were in tolerance. The exact
limits of the proportion (C. J. Clopper, E. S. Pearson, *Biometrika* 26, 1934)
decide: upper limit below the target, shorten; lower limit above it, lengthen;
else keep. The checks between two renewals are one life, whose passes do not speak for other
lives: the lower limit is that of as many results as there are lives, and for the upper one each
life that failed is one failure among all results. The new interval is the exponential rescale through the observed
point, I · ln T / ln(g/n) with T the target (with the lower limit for g/n where all passed, and
(g + ½)/(n + 1) where none did): a transparent choice of this program, as the
step of the recommended practice was not open to its authors.
*/

use crate::intervals::evidence::outcomes::Outcomes;
use crate::intervals::exact_test::of_results;
use crate::intervals::{
    Evidence, GroupEvidence, Method, MethodName, NoProposal, Proposal, Proposed,
};
use crate::stats::proportion_limits;
use crate::words::{count, days, percent};
use std::borrow::Cow;

crate::settings! {
    /// Interval test: exact limits of the observed proportion in tolerance against the target.
    pub struct IntervalTestSettings in "intervals.interval_test" {
        /// Confidence of the two-sided exact limits.
        confidence: f64 = 0.95 => PROBABILITY,
        /// Fewest results at the interval for a test.
        fewest: u32 = 5 => at_least(1.0),
        /// Pool the results of the item's group at the same interval; false = the item's own results.
        pooled: bool = true,
    }
}

impl IntervalTestSettings {
    /// Results at the item's interval, and whose they are.
    fn results<'g>(
        &self,
        evidence: &Evidence<'_>,
        group: &'g GroupEvidence,
    ) -> (Cow<'g, Outcomes>, &'static str) {
        let interval = evidence.current_interval;
        if self.pooled && !group.name.is_empty() {
            return (group.outcomes_near(interval), "its group");
        }
        let own = group.alone(&evidence.history);
        (
            Cow::Owned(own.outcomes_near(interval).into_owned()),
            "the item",
        )
    }

    /// "23 more results … in tolerance would lengthen it": what more passes, and no failure,
    /// would change; `None` where the test lengthens already.
    pub(crate) fn what_would_lengthen(
        &self,
        evidence: &Evidence<'_>,
        group: &GroupEvidence,
    ) -> Option<String> {
        let (seen, whose) = self.results(evidence, group);
        // Further passes of lives that are known already would show nothing new.
        let lengthens = |more: u64| {
            let mut then = seen.clone().into_owned();
            then.checks += more;
            then.inside += more;
            then.lives += more;
            let (inside, lives) = then.for_lower_limit();
            then.checks >= u64::from(self.fewest)
                && proportion_limits(inside, lives, self.confidence).0 > evidence.target
        };
        if seen.checks == 0 || lengthens(0) {
            return None;
        }
        let mut enough = 1;
        while !lengthens(enough) {
            enough = (2 * enough <= MOST_PASSES).then_some(2 * enough)?;
        }
        let mut too_few = enough / 2;
        while enough - too_few > 1 {
            let middle = too_few + (enough - too_few) / 2;
            match lengthens(middle) {
                true => enough = middle,
                false => too_few = middle,
            }
        }
        let whose = match seen.lives < seen.checks {
            true => format!("{whose}, each the first after a renewal,"),
            false => whose.to_string(),
        };
        Some(format!(
            "{} of {whose} near {} in tolerance, and none outside, would show the target exceeded and lengthen the interval",
            count(enough as usize, "more result"),
            days(evidence.current_interval)
        ))
    }

    /// The test of the results of `whose` ("its group") at or near `interval`, days.
    pub(crate) fn of_results(
        &self,
        seen: &Outcomes,
        interval: f64,
        target: f64,
        whose: &str,
    ) -> Proposal {
        let name = MethodName::IntervalTest;
        if seen.checks < u64::from(self.fewest) {
            let because = format!(
                "{whose} has {} within about a quarter of {}, and the test needs {}",
                count(seen.checks as usize, "result"),
                days(interval),
                self.fewest
            );
            return Proposal::not_applicable(name, because);
        }
        let found = of_results(seen, target, self.confidence);
        let side = match found.factor {
            f if f < 1.0 => "below",
            f if f > 1.0 => "above",
            _ => "compatible with",
        };
        let reason = format!(
            "{} of {} results of {whose} near {} were in tolerance; exact {} limits{} {} to {} are {side} the target of {}, which gives {}",
            seen.inside,
            seen.checks,
            days(interval),
            percent(self.confidence),
            seen.of_lives(),
            percent(found.limits.0),
            percent(found.limits.1),
            percent(target),
            days(interval * found.factor)
        );
        let basis = format!(
            "{} results of {whose}{}; so few in tolerance at the target has probability {}, so many {}",
            seen.checks,
            seen.of_lives(),
            percent(found.p_low),
            percent(found.p_high)
        );
        let limits = (
            interval * found.factor_limits.0,
            interval * found.factor_limits.1,
        );
        let weight = seen.for_lower_limit().1 as f64;
        Proposal::of(name, interval * found.factor, weight, basis, reason).within(Some(limits))
    }
}

/// More passes than anyone would wait for.
const MOST_PASSES: u64 = 1 << 20;

/// The method.
#[derive(Debug, Clone, Default)]
pub(crate) struct IntervalTest {
    pub settings: IntervalTestSettings,
}

impl Method for IntervalTest {
    fn name(&self) -> MethodName {
        MethodName::IntervalTest
    }

    fn asks_group(&self) -> bool {
        self.settings.pooled
    }

    fn proposal(&self, evidence: &Evidence<'_>, group: &GroupEvidence) -> Proposed {
        if evidence.in_or_out_unknown() {
            return Err(NoProposal::NoTolerance);
        }
        let interval = evidence.current_interval;
        let (seen, whose) = self.settings.results(evidence, group);
        let settings = &self.settings;
        let mut proposal = settings.of_results(&seen, interval, evidence.target, whose);
        if let Some((_, upper)) = &mut proposal.limits_days {
            *upper = upper.min(evidence.cap);
        }
        let limits = proposal.limits_days.filter(|(low, high)| low <= high);
        Ok(proposal.within(limits))
    }
}

#[cfg(test)]
#[path = "interval_test_tests.rs"]
mod tests;
