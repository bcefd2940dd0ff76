/*! Runs of repeated readings on one day: their means are charted, and their scatter is.

The pooled standard deviation s_p = √(Σν s²/Σν) of the runs of the base period; a run whose own is
above s_p·√F is not as precise as they were (NIST IR 6969 and e-Handbook 2.2.3.1).
*/

use super::constants::range_constants;
use super::tests_of_change::precision_limit_factor;
use crate::records::History;

/// Probability that a run as precise as the others lies above its limit: that of one side of three
/// standard deviations.
const PRECISION_TAIL: f64 = 0.001_35;

/// The readings of one day.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Run {
    /// Row of the last of them.
    pub row: usize,
    /// Their number.
    pub size: usize,
    /// Their mean.
    pub mean: f64,
    /// Largest minus smallest.
    pub range: f64,
    /// Their standard deviation (n − 1); NaN for a single one.
    pub deviation: f64,
}

/// The readings of `rows` day by day.
pub(crate) fn runs_of(history: &History<'_>, rows: &[usize]) -> Vec<Run> {
    let same = |a: &usize, b: &usize| history.date[*a].floor() == history.date[*b].floor();
    rows.chunk_by(same).map(|day| run(history, day)).collect()
}

fn run(history: &History<'_>, rows: &[usize]) -> Run {
    let n = rows.len() as f64;
    let values = || rows.iter().map(|row| history.as_found[*row]);
    // Counted from the first of them, so that readings that do not differ have no scatter by rounding.
    let origin = values().next().unwrap_or_default();
    let moved = values().map(|value| value - origin).sum::<f64>() / n;
    let squares: f64 = values().map(|value| (value - origin - moved).powi(2)).sum();
    let (low, high) = values().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (low.min(value), high.max(value))
    });
    Run {
        row: rows.last().copied().unwrap_or_default(),
        size: rows.len(),
        mean: origin + moved,
        range: high - low,
        deviation: (squares / (n - 1.0)).sqrt(),
    }
}

/// Scatter within the runs of a base period.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Within {
    /// Pooled standard deviation.
    pub pooled: f64,
    /// Its degrees of freedom.
    pub freedom: f64,
    /// Standard deviation by the mean range.
    pub by_range: f64,
}

impl Within {
    /// Upper limit of the standard deviation of a run of `size` readings; `None` for a single one.
    pub(crate) fn limit(&self, size: usize) -> Option<f64> {
        let freedom = size.checked_sub(1).filter(|freedom| *freedom > 0)? as f64;
        let factor = precision_limit_factor(freedom, self.freedom, PRECISION_TAIL)?;
        Some(self.pooled * factor)
    }
}

/// Scatter within `runs`; `None` where none of them repeats a reading.
pub(crate) fn within(runs: &[Run]) -> Option<Within> {
    let repeated: Vec<&Run> = runs.iter().filter(|run| run.size > 1).collect();
    let freedom: f64 = repeated.iter().map(|run| (run.size - 1) as f64).sum();
    let squares: f64 = repeated
        .iter()
        .map(|run| (run.size - 1) as f64 * run.deviation.powi(2))
        .sum();
    let number = repeated.len() as f64;
    let scaled = |run: &&&Run| range_constants(run.size).map(|constants| run.range / constants.d2);
    let ranges: f64 = repeated.iter().filter_map(|run| scaled(&run)).sum();
    (freedom > 0.0).then(|| Within {
        pooled: (squares / freedom).sqrt(),
        freedom,
        by_range: ranges / number,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::testing::Record;

    /// Three runs by hand: variances 1, 4 and 1 on 2, 1 and 2 degrees of freedom.
    #[test]
    fn runs_are_pooled_by_their_degrees_of_freedom() {
        let values = [
            (0.0, [9.0, 10.0, 11.0]),
            (1.0, [5.0, 7.828_427_124_746_19, f64::NAN]),
            (2.0, [1.0, 2.0, 3.0]),
        ];
        let mut record = Record::new();
        for (day, run) in values {
            for value in run.into_iter().filter(|value| value.is_finite()) {
                record = record.check(day, value);
            }
        }
        let all = record.histories();
        let rows: Vec<usize> = (0..all.get(0).len()).collect();
        let runs = runs_of(&all.get(0), &rows);
        assert_eq!(runs.iter().map(|r| r.size).collect::<Vec<_>>(), [3, 2, 3]);
        assert_eq!((runs[0].mean, runs[0].range, runs[0].row), (10.0, 2.0, 2));
        let scatter = within(&runs).unwrap();
        near!(scatter.pooled, (8.0f64 / 5.0).sqrt(), 1e-12);
        assert_eq!(scatter.freedom, 5.0);
        assert!(scatter.limit(3).unwrap() > scatter.pooled && scatter.limit(1).is_none());
        let by_hand = (2.0 / 1.692_569 * 2.0 + 2.828_427 / std::f64::consts::FRAC_2_SQRT_PI) / 3.0;
        near!(scatter.by_range, by_hand, 1e-6);
        assert_eq!(within(&runs_of(&all.get(0), &[0, 3])), None);
    }
}
