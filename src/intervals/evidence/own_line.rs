/*! The straight line of one item's own readings, and which of them leave its control chart. */

use crate::drift::series::readings::Reading;
use crate::stats::LeastSquaresLine;

/// Mean moving range of two normal values over their standard deviation (e-Handbook 6.3.2.2).
const MOVING_RANGE_PER_DEVIATION: f64 = 1.128;
/// Control limits in standard deviations.
const CONTROL_DEVIATIONS: f64 = 3.0;

/// Least squares over readings in order, a level a segment; `None` without a degree of freedom or
/// spread in x.
pub(crate) fn own_line(readings: &[Reading]) -> Option<LeastSquaresLine> {
    let segments = readings.chunk_by(|a, b| a.segment == b.segment);
    LeastSquaresLine::through(segments.map(|s| s.iter().map(|r| (r.x, r.value))))
}

/// Number of residuals outside the individuals chart's limits.
pub(crate) fn outside(line: &LeastSquaresLine) -> usize {
    let moves = line.residuals.windows(2).map(|w| (w[1] - w[0]).abs());
    let mean = moves.sum::<f64>() / (line.residuals.len() as f64 - 1.0);
    let limit = CONTROL_DEVIATIONS * mean / MOVING_RANGE_PER_DEVIATION;
    line.residuals.iter().filter(|r| r.abs() > limit).count()
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
        let line = own_line(&readings).unwrap();
        near!(line.at(0.0), 2.096_410, 5e-7);
        near!(line.slope, 0.389_476_8, 5e-8);
        near!(line.deviation(), 0.067_569_74, 5e-9);
        let factor = quantile(0.975, line.freedom);
        near!(
            line.at(10.0) - factor * line.u_reading(10.0),
            5.749_770,
            5e-7
        );
        near!(factor * line.u_reading(10.0), 0.241_407_8, 5e-8);
        near!(factor * line.u_reading(10.480_217), 0.25, 1e-7);
        near!(factor * line.u_reading(13.032_945), 0.30, 1e-7);
    }
}
