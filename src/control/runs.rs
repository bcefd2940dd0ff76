/*! Rules on the values in deviations from the centre: single values and patterns.

A small set: the four zone rules of the e-Handbook (6.3.2). Our conventions, fixed: a
value on a line belongs to the inner zone; the newest value must itself lie beyond the
line of its rule; nothing is reset after a signal.
*/

use serde::{Deserialize, Serialize};

/// A way of looking at the series.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Chart {
    /// Single values against three deviations.
    Shewhart,
    /// Exponentially weighted moving average.
    Ewma,
    /// Cumulative sums.
    Cusum,
    /// Patterns of several values.
    Runs,
    /// Moving ranges.
    Range,
    /// Standard deviation of repeated readings.
    Precision,
}

crate::words::worded! {
    /// What was noticed.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub(crate) enum Rule with words and word {
        /// One value beyond three deviations.
        BeyondThree = "beyond three deviations", "beyond_three";
        /// Two of three beyond two deviations on one side.
        TwoOfThreeBeyondTwo = "two of three beyond two deviations on one side", "two_of_three";
        /// Four of five beyond one deviation on one side.
        FourOfFiveBeyondOne = "four of five beyond one deviation on one side", "four_of_five";
        /// A run on one side of the centre.
        RunOnOneSide = "a run on one side of the centre", "run";
        /// The weighted average outside its limits.
        Ewma = "weighted average outside its limits", "ewma";
        /// A cumulative sum above its limit.
        Cusum = "cumulative sum above its limit", "cusum";
        /// Two neighbours farther apart than three deviations of a range.
        MovingRange = "step between neighbours too large", "moving_range";
        /// Repeated readings scatter more than those of the base period.
        Precision = "repeated readings scatter too much", "precision";
        /// One value beyond two deviations: a warning, not a signal.
        BeyondTwo = "beyond two deviations (warning)", "beyond_two";
    }
}

impl Rule {
    /// The chart that the rule reads; `None` for a warning, which is no signal of any.
    pub(crate) fn chart(self) -> Option<Chart> {
        match self {
            Rule::BeyondThree => Some(Chart::Shewhart),
            Rule::TwoOfThreeBeyondTwo | Rule::FourOfFiveBeyondOne | Rule::RunOnOneSide => {
                Some(Chart::Runs)
            }
            Rule::Ewma => Some(Chart::Ewma),
            Rule::Cusum => Some(Chart::Cusum),
            Rule::MovingRange => Some(Chart::Range),
            Rule::Precision => Some(Chart::Precision),
            Rule::BeyondTwo => None,
        }
    }

    /// True where the rule takes the item out of control by `signals`.
    pub(crate) fn is_signal(self, signals: &[Chart]) -> bool {
        self.chart().is_some_and(|chart| signals.contains(&chart))
    }
}

/// A rule that fired at one value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Signal {
    /// Index of the value, from 0.
    pub index: usize,
    /// Its date, days since 1970-01-01; NaN where none was given.
    pub date: f64,
    pub rule: Rule,
}

/// Rules that fire at each of `z` (values in deviations from the centre), by index then rule.
pub(crate) fn runs(z: &[f64], run_length: usize) -> Vec<(usize, Rule)> {
    let patterns = [
        (Rule::TwoOfThreeBeyondTwo, 3, 2, 2.0),
        (Rule::FourOfFiveBeyondOne, 5, 4, 1.0),
        (Rule::RunOnOneSide, run_length, run_length, 0.0),
    ];
    let mut fired = Vec::new();
    for (i, value) in z.iter().enumerate() {
        if value.abs() > 3.0 {
            fired.push((i, Rule::BeyondThree));
        }
        for (rule, window, needed, line) in patterns {
            let Some(start) = (i + 1).checked_sub(window) else {
                continue;
            };
            let side = value.signum();
            let beyond = |v: &&f64| side * **v > line;
            if side * value > line && z[start..=i].iter().filter(beyond).count() >= needed {
                fired.push((i, rule));
            }
        }
        if value.abs() > 2.0 && value.abs() <= 3.0 {
            fired.push((i, Rule::BeyondTwo));
        }
    }
    fired
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Interval-practice 6.4 (check 51): sequence and signals, counted from 1 there.
    #[test]
    fn published_sequence() {
        let z = [0.2, -0.5, 2.1, 0.3, 2.4, 1.2, 1.5, 1.1, 0.4, 0.1, 0.6, -3.2];
        let signals: Vec<(usize, Rule)> = runs(&z, 8)
            .into_iter()
            .filter(|(_, rule)| rule.chart().is_some())
            .collect();
        let expected = [
            (4, Rule::TwoOfThreeBeyondTwo),
            (6, Rule::FourOfFiveBeyondOne),
            (7, Rule::FourOfFiveBeyondOne),
            (9, Rule::RunOnOneSide),
            (10, Rule::RunOnOneSide),
            (11, Rule::BeyondThree),
        ];
        assert_eq!(signals, expected);
    }

    #[test]
    fn values_on_a_line_belong_inside() {
        assert!(
            runs(&[3.0], 8)
                .iter()
                .all(|(_, rule)| *rule == Rule::BeyondTwo)
        );
        assert!(runs(&[0.0; 20], 8).is_empty());
    }
}
