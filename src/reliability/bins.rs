/*! Observed proportions in tolerance by classes of time, with exact limits.

Classes hold about equal numbers of checks; each distinct time stays whole. Limits
are Clopper–Pearson's and take checks as independent, which checks of one life
between renewals are not: then they are somewhat too narrow, and the sentence says so.
*/

use super::outcomes::Outcomes;
use crate::stats::proportion_limits;
use serde::{Deserialize, Serialize};

/// Checks in one class of times since renewal.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Bin {
    /// First and last time in the class, days since renewal.
    pub days: (f64, f64),
    /// Mean time of its checks, days.
    pub mean_days: f64,
    /// Checks in tolerance.
    pub inside: u64,
    /// Checks.
    pub checks: u64,
    /// Observed proportion in tolerance.
    pub proportion: f64,
    /// Exact two-sided limits of the proportion.
    pub limits: (f64, f64),
}

/// At most `most` classes of the checks in `outcomes`, limits at confidence `level`.
pub fn bins(outcomes: &Outcomes, most: usize, level: f64) -> Vec<Bin> {
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
    done.iter().map(|bin| bin.closed(level)).collect()
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

    fn closed(&self, level: f64) -> Bin {
        Bin {
            days: (self.first, self.last),
            mean_days: self.days / self.checks as f64,
            inside: self.inside,
            checks: self.checks,
            proportion: self.inside as f64 / self.checks as f64,
            limits: proportion_limits(self.inside, self.checks, level),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reliability::fit::tests::data_a;

    /// Interval-practice 3.5: 90 % limits row.
    #[test]
    fn few_times_stay_whole() {
        let bins = bins(&data_a(), 8, 0.90);
        assert_eq!(bins.len(), 6);
        assert!((bins[0].limits.0 - 0.8074).abs() < 6e-5);
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
        let bins = bins(&outcomes, 8, 0.95);
        assert!(bins.len() <= 8 && bins.len() >= 7);
        assert_eq!(bins.iter().map(|b| b.checks).sum::<u64>(), 1100);
    }
}
