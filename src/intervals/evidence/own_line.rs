/*! The straight line of one item's own readings: ordinary least squares, one slope, a level a segment.

Formulas of NIST/SEMATECH e-Handbook chapter 4 for one segment; with several, each
segment is centred on its own mean, which is least squares with a level each.
*/

use crate::drift::series::readings::Reading;

/// Mean moving range of two normal values over their standard deviation (e-Handbook 6.3.2.2).
const MOVING_RANGE_PER_DEVIATION: f64 = 1.128;
/// Control limits in standard deviations.
const CONTROL_DEVIATIONS: f64 = 3.0;
/// A straight line with one slope and the level of the last of its segments.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    pub slope: f64,
    /// Mean x and value, and number of readings, of the last segment.
    last: (f64, f64, f64),
    /// Sum of squares of x about the segments' means.
    sxx: f64,
    pub deviation: f64,
    pub freedom: f64,
    pub residuals: Vec<f64>,
}

impl Line {
    /// Least squares over readings in order; `None` without a degree of freedom or spread in x.
    pub fn through(readings: &[Reading]) -> Option<Self> {
        let segments: Vec<&[Reading]> = readings.chunk_by(|a, b| a.segment == b.segment).collect();
        let means: Vec<(f64, f64, f64)> = segments
            .iter()
            .map(|s| {
                let n = s.len() as f64;
                let sum = |f: fn(&Reading) -> f64| s.iter().map(f).sum::<f64>() / n;
                (sum(|r| r.x), sum(|r| r.value), n)
            })
            .collect();
        let centred = || {
            segments
                .iter()
                .zip(&means)
                .flat_map(|(s, m)| s.iter().map(move |r| (r.x - m.0, r.value - m.1)))
        };
        let sxx: f64 = centred().map(|(x, _)| x * x).sum();
        let slope = centred().map(|(x, y)| x * y).sum::<f64>() / sxx;
        let freedom = readings.len() as f64 - segments.len() as f64 - 1.0;
        if !slope.is_finite() || freedom < 1.0 {
            return None;
        }
        let residuals: Vec<f64> = centred().map(|(x, y)| y - slope * x).collect();
        let squares: f64 = residuals.iter().map(|r| r * r).sum();
        Some(Self {
            slope,
            last: *means.last()?,
            sxx,
            deviation: (squares / freedom).sqrt(),
            freedom,
            residuals,
        })
    }

    pub fn at(&self, x: f64) -> f64 {
        self.last.1 + self.slope * (x - self.last.0)
    }

    /// Standard uncertainty of the next reading at `x`.
    pub fn u_reading(&self, x: f64) -> f64 {
        let off = x - self.last.0;
        self.deviation * (1.0 + 1.0 / self.last.2 + off * off / self.sxx).sqrt()
    }

    /// Number of residuals outside the individuals chart's limits.
    pub fn outside(&self) -> usize {
        let moves = self.residuals.windows(2).map(|w| (w[1] - w[0]).abs());
        let mean = moves.sum::<f64>() / (self.residuals.len() as f64 - 1.0);
        let limit = CONTROL_DEVIATIONS * mean / MOVING_RANGE_PER_DEVIATION;
        self.residuals.iter().filter(|r| r.abs() > limit).count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::series::readings::{Axis, fill_readings};
    use crate::records::DAYS_PER_YEAR;
    use crate::records::testing::Record;
    use crate::stats::quantile;

    const YEARS: [f64; 8] = [0.0, 1.02, 1.98, 3.05, 4.01, 5.0, 6.03, 6.97];
    const VALUES: [f64; 8] = [2.10, 2.52, 2.81, 3.35, 3.58, 4.12, 4.37, 4.85];

    /// Check values 32 to 34 of interval-practice.md (worked example 4.2, example data;
    /// statsmodels 0.15.0 OLS): fit, prediction band at 10 years, crossings.
    #[test]
    fn the_worked_line_and_its_band_are_reproduced() {
        let mut record = Record::new();
        for (year, value) in YEARS.into_iter().zip(VALUES) {
            record = record.check(year * DAYS_PER_YEAR, value);
        }
        let histories = record.histories();
        let mut readings = Vec::new();
        fill_readings(&histories.get(0), Axis::Time, &mut readings);
        let line = Line::through(&readings).unwrap();
        assert!((line.at(0.0) - 2.096_410).abs() < 5e-7);
        assert!((line.slope - 0.389_476_8).abs() < 5e-8);
        assert!((line.deviation - 0.067_569_74).abs() < 5e-9);
        let factor = quantile(0.975, line.freedom);
        assert!((line.at(10.0) - factor * line.u_reading(10.0) - 5.749_770).abs() < 5e-7);
        assert!((factor * line.u_reading(10.0) - 0.241_407_8).abs() < 5e-8);
        assert!((factor * line.u_reading(10.480_217) - 0.25).abs() < 1e-7);
        assert!((factor * line.u_reading(13.032_945) - 0.30).abs() < 1e-7);
    }
}
