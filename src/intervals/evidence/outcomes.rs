/*! Outcomes of checks at one interval: sums that add up over partitions. */

use crate::records::{History, Outcome};
use crate::words::{calendar, plural};
use chrono::Datelike;
use std::collections::BTreeMap;

/// Checks found in tolerance among all judged ones, and their intervals.
#[derive(Debug, Clone, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub(crate) struct Outcomes {
    /// Judged checks.
    pub checks: u64,
    /// Those in tolerance as found.
    pub inside: u64,
    /// Lives from renewal to renewal that the checks belong to.
    pub lives: u64,
    pub failed_lives: u64,
    /// Sum of the intervals that ended at them, days.
    pub days: f64,
    /// Of those in tolerance whose value is known, how many used up more than k − 1 and at most
    /// k per cent of the tolerance, by k from 0 to 100; empty where no value is known.
    by_percent: Vec<u64>,
    /// Judged checks and those in tolerance, by calendar year.
    by_year: BTreeMap<i32, (u64, u64)>,
}

/// What a check is to its life.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct InLife {
    /// The first of its life here.
    pub first: bool,
    /// The first of its life here that was out of tolerance.
    pub first_failure: bool,
}

/// Per cents of the tolerance that are told apart.
const PERCENTS: usize = 100;

impl Outcomes {
    /// Adds check `row`, which ended an interval of `days`; an unknown outcome counts nothing.
    pub(crate) fn add(&mut self, history: &History<'_>, row: usize, days: f64, life: InLife) {
        let outcome = history.outcome_at(row);
        if outcome == Outcome::Unknown {
            return;
        }
        let inside = u64::from(outcome == Outcome::In);
        self.checks += 1;
        self.inside += inside;
        self.lives += u64::from(life.first);
        self.failed_lives += u64::from(life.first_failure);
        self.days += days;
        let year = calendar(history.date[row]).map_or(0, |day| day.year());
        let round = self.by_year.entry(year).or_default();
        round.0 += 1;
        round.1 += inside;
        let tolerance = history.tolerance_at(row).filter(|_| inside == 1);
        if let Some(share) = tolerance.and_then(|t| t.share_used(history.as_found[row])) {
            self.by_percent.resize(PERCENTS + 1, 0);
            self.by_percent[percent_of(share)] += 1;
        }
    }

    /// Adds the outcomes of another partition, or of a neighbouring interval.
    pub(crate) fn merge(&mut self, other: &Outcomes) {
        self.checks += other.checks;
        self.inside += other.inside;
        self.lives += other.lives;
        self.failed_lives += other.failed_lives;
        self.days += other.days;
        if !other.by_percent.is_empty() {
            self.by_percent.resize(PERCENTS + 1, 0);
        }
        for (ours, theirs) in self.by_percent.iter_mut().zip(&other.by_percent) {
            *ours += theirs;
        }
        for (year, (checks, inside)) in &other.by_year {
            let ours = self.by_year.entry(*year).or_default();
            ours.0 += checks;
            ours.1 += inside;
        }
    }

    /// Checks in tolerance that used up at most `share` of it, told to 1 %.
    pub(crate) fn within(&self, share: f64) -> u64 {
        let last = (share * PERCENTS as f64 + f64::from(f32::EPSILON)).floor();
        let counted = (last.clamp(0.0, PERCENTS as f64) as usize + 1).min(self.by_percent.len());
        self.by_percent[..counted].iter().sum()
    }

    /// Whether checks in tolerance state their values, and not only their outcomes.
    pub(crate) fn tells_values(&self) -> bool {
        self.inside == 0 || !self.by_percent.is_empty()
    }

    /// Checks found out of tolerance.
    pub(crate) fn outside(&self) -> u64 {
        self.checks - self.inside
    }

    /// What the lower exact limit may count, in tolerance and in all: as many results as there are
    /// lives, since the passes of one life do not speak for others (the proportion of all checks,
    /// a broken failure counted as one).
    pub(crate) fn for_lower_limit(&self) -> (u64, u64) {
        if self.lives >= self.checks {
            return (self.inside, self.checks);
        }
        let out = self.lives as f64 * self.outside() as f64 / self.checks as f64;
        (self.lives - out.ceil() as u64, self.lives)
    }

    /// What the upper exact limit may count: each life that failed as one failure, of all checks.
    /// Checks of one life that go together pass together oftener than unrelated ones, so that no
    /// more lives fail than of as many unrelated checks.
    pub(crate) fn for_upper_limit(&self) -> (u64, u64) {
        (
            self.checks - self.failed_lives.min(self.checks),
            self.checks,
        )
    }

    /// " from 6 lives", where lives have several checks; else nothing.
    pub(crate) fn of_lives(&self) -> String {
        match self.lives < self.checks {
            true => format!(
                " from {} {}",
                self.lives,
                plural(self.lives as usize, "life")
            ),
            false => String::new(),
        }
    }

    /// Proportion in tolerance; NaN where nothing was judged.
    pub(crate) fn proportion(&self) -> f64 {
        self.inside as f64 / self.checks as f64
    }

    /// Proportion in tolerance of each year with a check, oldest first.
    pub(crate) fn yearly_proportions(&self) -> impl Iterator<Item = f64> + '_ {
        let rounds = self.by_year.values();
        rounds.map(|(checks, inside)| *inside as f64 / *checks as f64)
    }
}

/// Per cent of the tolerance used up, rounded up, 0 to 100.
fn percent_of(share: f64) -> usize {
    let up = (share * PERCENTS as f64 - f64::from(f32::EPSILON)).ceil();
    up.clamp(0.0, PERCENTS as f64) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::testing::Record;
    use crate::words::days_of;
    use chrono::NaiveDate;

    #[test]
    fn shares_years_and_outcomes_are_counted_and_merge() {
        let histories = Record::new()
            .check(0.0, 0.0)
            .check(366.0, -0.8)
            .check(740.0, 0.81)
            .check(1100.0, 1.2)
            .outcome(1500.0, true)
            .histories();
        let history = histories.get(0);
        let mut whole = Outcomes::default();
        let mut parts = [Outcomes::default(), Outcomes::default()];
        for row in 1..5 {
            let life = InLife {
                first: row == 1,
                first_failure: row == 3,
            };
            whole.add(&history, row, 365.0, life);
            parts[row % 2].add(&history, row, 365.0, life);
        }
        let [mut merged, second] = parts;
        merged.merge(&second);
        assert_eq!(merged, whole);
        assert_eq!((whole.checks, whole.inside, whole.outside()), (4, 3, 1));
        // One life that failed: none of one for the lower limit, three of four for the upper.
        assert_eq!(whole.for_lower_limit(), (0, 1));
        assert_eq!(whole.for_upper_limit(), (3, 4));
        assert_eq!(
            (whole.within(0.8), whole.within(0.79), whole.within(1.0)),
            (1, 0, 2)
        );
        let yearly: Vec<f64> = whole.yearly_proportions().collect();
        assert_eq!(yearly, [1.0, 1.0, 0.0, 1.0]);
    }

    /// A year of 365.25 days does not begin on each first of January.
    #[test]
    fn a_year_is_that_of_the_calendar() {
        for year in 1999..2040 {
            let ends = [(year, 1, 1), (year, 12, 31)];
            let ends = ends.map(|(y, m, d)| days_of(NaiveDate::from_ymd_opt(y, m, d).unwrap()));
            let record = ends.iter().fold(Record::new(), |r, day| r.check(*day, 0.0));
            let histories = record.histories();
            let mut seen = Outcomes::default();
            (0..2).for_each(|row| seen.add(&histories.get(0), row, 365.0, InLife::default()));
            assert_eq!(seen.yearly_proportions().count(), 1, "{year}");
        }
    }
}
