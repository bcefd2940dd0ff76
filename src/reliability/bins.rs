/*! R(t) without a model at a few ages, with exact limits: the points beside a fitted curve.

Classes hold about equal numbers of checks; each distinct time stays whole. Where every life
has one check, a point is the proportion in tolerance of the checks in its class, with the
limits of Clopper and Pearson. Where lives have several, the checks of lives that lasted are
no sample of all lives, so that a point is the estimate of the share that never failed by the
middle of its class, and its limits are the exact bounds by lives at that age.
*/

use super::bounds::{at_risk, failing, lasting};
use super::monotone::{Step, level_at};
use super::outcomes::Outcomes;
use crate::stats::{proportion_limits, proportion_lower, proportion_upper};
use serde::{Deserialize, Serialize};

/// Checks in one class of times since renewal.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub(crate) struct Bin {
    /// First and last time in the class, days since renewal.
    pub days: (f64, f64),
    /// Mean time of its checks, days: the age that the figures hold for.
    pub mean_days: f64,
    /// Outcomes behind the figures: checks, or lives where these have several.
    pub outcomes: u64,
    /// Checks, or lives that nothing shows to have failed before that age and that were watched up to it.
    pub at_risk: u64,
    /// Estimated share in tolerance.
    pub proportion: f64,
    /// Exact two-sided limits of it.
    pub limits: (f64, f64),
}

/// At most `most` classes of the checks in `outcomes`, limits at confidence `level`; `steps`
/// is their estimate without a model.
pub(super) fn bins(outcomes: &Outcomes, steps: &[Step], most: usize, level: f64) -> Vec<Bin> {
    let (inside, outside) = outcomes.totals();
    let each = ((inside + outside) as f64 / most.max(1) as f64).max(1.0);
    let whole = outcomes.checks().count() <= most;
    let mut done: Vec<Open> = Vec::new();
    let mut open = Open::default();
    for (days, inside, outside) in outcomes.checks() {
        open.add(days, inside, outside);
        if whole || open.checks as f64 >= each {
            done.push(std::mem::take(&mut open));
        }
    }
    if open.checks > 0 {
        // A remainder under half a class joins the last one.
        match done.last_mut() {
            Some(last) if (open.checks as f64) < 0.5 * each => last.join(&open),
            _ => done.push(open),
        }
    }
    let one_check = outcomes.is_current_status();
    let closed = |bin: &Open| match one_check {
        true => bin.of_checks(level),
        false => bin.of_lives(outcomes, steps, level),
    };
    done.iter().map(closed).collect()
}

#[derive(Debug, Default)]
struct Open {
    first: f64,
    last: f64,
    days: f64,
    inside: u64,
    checks: u64,
}

impl Open {
    fn add(&mut self, days: f64, inside: u64, outside: u64) {
        if self.checks == 0 {
            self.first = days;
        }
        self.last = days;
        self.days += days * (inside + outside) as f64;
        self.inside += inside;
        self.checks += inside + outside;
    }

    fn join(&mut self, later: &Open) {
        self.last = later.last;
        self.days += later.days;
        self.inside += later.inside;
        self.checks += later.checks;
    }

    fn mean_days(&self) -> f64 {
        self.days / self.checks as f64
    }

    fn of_checks(&self, level: f64) -> Bin {
        Bin {
            days: (self.first, self.last),
            mean_days: self.mean_days(),
            outcomes: self.checks,
            at_risk: self.checks,
            proportion: self.inside as f64 / self.checks as f64,
            limits: proportion_limits(self.inside, self.checks, level),
        }
    }

    fn of_lives(&self, outcomes: &Outcomes, steps: &[Step], level: f64) -> Bin {
        let tail = 0.5 * (1.0 - level);
        let days = self.mean_days();
        let (lasted, judged) = lasting(outcomes, days);
        let (inside, all) = failing(outcomes, days);
        Bin {
            days: (self.first, self.last),
            mean_days: days,
            outcomes: judged,
            at_risk: at_risk(outcomes, days),
            proportion: level_at(steps, days),
            limits: (
                proportion_lower(lasted, judged, tail),
                proportion_upper(inside, all, tail),
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reliability::fit::tests::data_a;
    use crate::reliability::turnbull::never_failed;

    /// Interval-practice 3.5: 90 % limits row.
    #[test]
    fn few_times_stay_whole() {
        let bins = bins(&data_a(), &[], 8, 0.90);
        assert_eq!(bins.len(), 6);
        near!(bins[0].limits.0, 0.8074, 6e-5);
        assert!(
            (bins[3].limits.0 - 0.7077).abs() < 6e-5 && (bins[3].limits.1 - 0.9650).abs() < 6e-5
        );
    }

    #[test]
    fn many_times_share_classes() {
        let mut outcomes = Outcomes::default();
        for day in 1..=1000 {
            outcomes
                .add_checks(f64::from(day), 1, u64::from(day % 10 == 0))
                .unwrap();
        }
        let bins = bins(&outcomes, &[], 8, 0.95);
        assert!(bins.len() <= 8 && bins.len() >= 7);
        assert_eq!(bins.iter().map(|b| b.outcomes).sum::<u64>(), 1100);
    }

    /// 300 items that drift at rates of their own towards ±1, checked each year for ten years and
    /// never renewed but after a failure: points and limits hold the true share of lives that
    /// never failed, where the share of checks in tolerance lies far above it.
    #[test]
    fn points_of_several_checks_are_the_share_that_never_failed() {
        let mut outcomes = Outcomes::default();
        // Rates spread evenly from 0.02 to 0.22 a year: out after 1/rate years.
        for item in 0..300 {
            let crossing = 1.0 / (0.02 + 0.2 * (f64::from(item) + 0.5) / 300.0);
            let failed = crossing.ceil();
            match failed <= 10.0 {
                true => outcomes.add_lives(failed - 1.0, failed, 1).unwrap(),
                false => outcomes.add_lives(10.0, f64::INFINITY, 1).unwrap(),
            }
        }
        let steps = never_failed(&outcomes);
        for bin in bins(&outcomes, &steps, 8, 0.95) {
            let truth = ((1.0 / bin.mean_days - 0.02) / 0.2).clamp(0.0, 1.0);
            assert!(
                bin.limits.0 <= truth && truth <= bin.limits.1,
                "{bin:?} {truth}"
            );
            assert!(
                bin.limits.0 <= bin.proportion && bin.proportion <= bin.limits.1,
                "{bin:?}"
            );
            near!(bin.proportion, truth, 0.06);
            // Of 300 all watched, those that had not been found failed by then.
            let failed_by =
                |i: &u64| (1.0 / (0.02 + 0.2 * (*i as f64 + 0.5) / 300.0)).ceil() < bin.mean_days;
            let gone = (0..300).filter(failed_by).count() as u64;
            assert_eq!((bin.at_risk, bin.outcomes), (300 - gone, 300), "{bin:?}");
        }
    }
}
