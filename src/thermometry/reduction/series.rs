/*! Readings of one thermometer in one session, sorted into currents and runs.

A run is an unbroken stretch at one current: the usual order 1 mA, √2 mA, 1 mA gives
two runs of the first current, whose agreement shows that nothing moved meanwhile.
*/

use super::average::{Average, common_correlation};
use super::currents::same_current;
use crate::thermometry::readings::RawReading;

/// All readings at one current.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Current, mA; NaN where it was not noted.
    pub current_ma: f64,
    /// Average of each run, in order of time.
    pub runs: Vec<Average>,
}

impl Series {
    /// Mean of the means of the runs.
    pub(crate) fn mean(&self) -> f64 {
        let first = self.runs.first().map_or(f64::NAN, |run| run.mean);
        let sum: f64 = self.runs.iter().map(|run| run.mean - first).sum();
        first + sum / self.runs.len() as f64
    }

    /// Standard uncertainty of [`Self::mean`]; NaN where no run has two readings.
    pub(crate) fn u_mean(&self, correlation: f64) -> f64 {
        let squares: f64 = self.usable().map(|r| r.u_mean(correlation).powi(2)).sum();
        let (usable, all) = (self.usable().count() as f64, self.runs.len() as f64);
        // Runs of a single reading are given the mean variance of the others.
        (squares * all / usable).sqrt() / all
    }

    /// Degrees of freedom of [`Self::u_mean`].
    pub(crate) fn degrees_of_freedom(&self) -> f64 {
        let square = |r: &Average| r.u_mean(0.0).powi(2);
        let sum: f64 = self.usable().map(square).sum();
        let parts: f64 = self
            .usable()
            .map(|r| square(r).powi(2) / r.degrees_of_freedom())
            .sum();
        if parts > 0.0 {
            sum * sum / parts
        } else {
            self.usable().map(Average::degrees_of_freedom).sum()
        }
    }

    /// Number of readings.
    pub(crate) fn count(&self) -> usize {
        self.runs.iter().map(|run| run.count).sum()
    }

    fn usable(&self) -> impl Iterator<Item = &Average> {
        self.runs.iter().filter(|run| run.count >= 2)
    }
}

/// Readings sorted by time; ties by current, then value, so that the order of the rows
/// cannot matter.
pub(crate) fn in_order<'a>(readings: &[&'a RawReading]) -> Vec<&'a RawReading> {
    let mut sorted = readings.to_vec();
    sorted.sort_by(|a, b| {
        a.date
            .total_cmp(&b.date)
            .then(a.current_ma.total_cmp(&b.current_ma))
            .then(value(a).total_cmp(&value(b)))
    });
    sorted
}

/// The measured number of a reading: ratio where there is one, else resistance.
pub(crate) fn value(reading: &RawReading) -> f64 {
    if reading.ratio.is_nan() {
        reading.resistance_ohm
    } else {
        reading.ratio
    }
}

/// Series by rising current from readings [`in_order`].
pub(crate) fn series(readings: &[&RawReading]) -> Vec<Series> {
    let mut all: Vec<Series> = Vec::new();
    for run in readings.chunk_by(|a, b| same_current(a.current_ma, b.current_ma)) {
        let values: Vec<f64> = run.iter().map(|r| value(r)).collect();
        let average = match run.iter().any(|r| r.count > 1) {
            true => Average::of_means(run.iter().map(|r| (value(r), r.deviation, r.count))),
            false => Average::of(&values),
        };
        let Some(average) = average else { continue };
        let current_ma = run[0].current_ma;
        match all
            .iter_mut()
            .find(|s| same_current(s.current_ma, current_ma))
        {
            Some(series) => series.runs.push(average),
            None => all.push(Series {
                current_ma,
                runs: vec![average],
            }),
        }
    }
    all.sort_by(|a, b| a.current_ma.total_cmp(&b.current_ma));
    all
}

/// Autocorrelation common to all runs.
pub(crate) fn correlation(series: &[Series]) -> f64 {
    let runs: Vec<_> = series.iter().flat_map(|s| s.runs.iter().copied()).collect();
    common_correlation(&runs)
}
