/*! Control chart: the item's own line and prediction band against the limits.

ILAC-G24:2022 / OIML D 10:2022, method 2 (calendar time): the same point is
plotted at each calibration, scatter and drift are computed, and the efficient
interval derived. Here: an ordinary least-squares line through the readings of
the current drift (a level for each adjustment, one slope), the band for the next
reading t·s·√(1 + 1/n + (t₀ − t̄)²/S_xx) of NIST/SEMATECH e-Handbook chapter 4,
and the longest time for which the whole band lies inside the limits. The chart
itself is that of individual residuals, centre ± 3·(mean moving range)/1.128
(e-Handbook 6.3.2.2); a point outside forbids lengthening.
*/

use super::search::{Crossing, first_below};
use super::words::{count, date, days, figure, percent};
use super::{Evidence, GroupEvidence, Method, MethodName, Proposal};
use crate::drift::{Axis, Reading, fill_readings};
use crate::records::{DAYS_PER_YEAR, Tolerance};
use crate::settings::SettingError;
use crate::stats::quantile;

/// Mean moving range of two normal values over their standard deviation (e-Handbook 6.3.2.2).
const MOVING_RANGE_PER_DEVIATION: f64 = 1.128;
/// Control limits in standard deviations.
const CONTROL_DEVIATIONS: f64 = 3.0;
/// Panels of the first look; the band is smooth.
const PANELS: usize = 24;

crate::settings! {
    /// Control chart (ILAC-G24 / OIML D 10 method 2): the item's own line and prediction band.
    pub struct ControlChartSettings in "intervals.control_chart" {
        /// Level of the two-sided prediction band.
        level: f64 = 0.95,
        /// Fewest readings for a line.
        fewest: u32 = 5,
    }
}

impl ControlChartSettings {
    /// The values that cannot be used.
    pub fn check(&self) -> Vec<SettingError> {
        let table = "intervals.control_chart";
        let mut errors = Vec::new();
        if !(self.level > 0.0 && self.level < 1.0) {
            let message = "expected a level above 0 and below 1";
            errors.push(SettingError::new(table, "level", message));
        }
        if self.fewest < 3 {
            errors.push(SettingError::new(table, "fewest", "expected 3 or more"));
        }
        errors
    }
}

/// A straight line with one slope and the level of the last of its segments.
#[derive(Debug, Clone, PartialEq)]
struct Line {
    slope: f64,
    /// Mean x and value, and number of readings, of the last segment.
    last: (f64, f64, f64),
    /// Sum of squares of x about the segments' means.
    sxx: f64,
    deviation: f64,
    freedom: f64,
    residuals: Vec<f64>,
}

impl Line {
    /// Least squares over readings in order; `None` without a degree of freedom or spread in x.
    fn through(readings: &[Reading]) -> Option<Self> {
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

    fn at(&self, x: f64) -> f64 {
        self.last.1 + self.slope * (x - self.last.0)
    }

    /// Standard uncertainty of the next reading at `x`.
    fn u_reading(&self, x: f64) -> f64 {
        let off = x - self.last.0;
        self.deviation * (1.0 + 1.0 / self.last.2 + off * off / self.sxx).sqrt()
    }

    /// Number of residuals outside the individuals chart's limits.
    fn outside(&self) -> usize {
        let moves = self.residuals.windows(2).map(|w| (w[1] - w[0]).abs());
        let mean = moves.sum::<f64>() / (self.residuals.len() as f64 - 1.0);
        let limit = CONTROL_DEVIATIONS * mean / MOVING_RANGE_PER_DEVIATION;
        self.residuals.iter().filter(|r| r.abs() > limit).count()
    }
}

/// The method.
#[derive(Debug, Clone, Default)]
pub struct ControlChart {
    /// Its settings.
    pub settings: ControlChartSettings,
}

impl Method for ControlChart {
    fn name(&self) -> MethodName {
        MethodName::ControlChart
    }

    fn propose(&self, evidence: &Evidence<'_>, _group: &GroupEvidence) -> Proposal {
        let Some(tolerance) = evidence.tolerance else {
            return Proposal::not_applicable(self.name(), "no tolerance was given");
        };
        let mut readings = Vec::with_capacity(evidence.history.len() + 1);
        fill_readings(&evidence.history, Axis::Time, &mut readings);
        let current = readings.last().map_or(0, |r| r.drift_segment);
        readings.retain(|r| r.drift_segment == current);
        let line = Line::through(&readings);
        let Some(line) = line.filter(|_| readings.len() >= self.settings.fewest as usize) else {
            let because = format!(
                "{} since the drift last started anew, and a line with its scatter needs {}",
                count(readings.len(), "reading"),
                self.settings.fewest
            );
            return Proposal::not_applicable(self.name(), because);
        };
        self.from_line(evidence, tolerance, &line)
    }
}

impl ControlChart {
    fn from_line(&self, evidence: &Evidence<'_>, tolerance: Tolerance, line: &Line) -> Proposal {
        let factor = quantile(0.5 + 0.5 * self.settings.level, line.freedom);
        let start = evidence.last_calibration / DAYS_PER_YEAR;
        let margin = |h: f64| {
            let x = start + h / DAYS_PER_YEAR;
            let half = factor * line.u_reading(x);
            let (value, upper, lower) = (line.at(x), tolerance.upper(), tolerance.lower());
            (upper - value - half).min(value - half - lower)
        };
        let cap = evidence.cap;
        let panels: Vec<f64> = (1..=PANELS)
            .map(|j| cap * (j as f64 / PANELS as f64).powi(2))
            .collect();
        let level = percent(self.settings.level);
        let (free, finding) = match first_below(0.0, 0.0, &panels, margin) {
            Crossing::AtStart => (
                0.0,
                format!("the {level} band for the next reading reaches a limit at once"),
            ),
            Crossing::At(h) => (
                h,
                format!(
                    "the {level} band for the next reading reaches a limit {} after the calibration of {}",
                    days(h),
                    date(evidence.last_calibration)
                ),
            ),
            Crossing::Beyond => (
                cap,
                format!(
                    "the {level} band for the next reading stays inside the limits for {}",
                    days(cap)
                ),
            ),
        };
        let outside = line.outside();
        let (interval, chart) = if outside == 0 {
            (free, "the chart is in control".to_string())
        } else {
            (
                free.min(evidence.current_interval),
                format!(
                    "{} outside the control limits, so the interval is not lengthened",
                    if outside == 1 {
                        "1 point lies".into()
                    } else {
                        format!("{outside} points lie")
                    }
                ),
            )
        };
        let unit = &evidence.history.item.unit;
        let basis = format!(
            "{} about a line of {} a year, scatter {}",
            count(line.residuals.len(), "reading"),
            figure(line.slope, unit),
            figure(line.deviation, unit)
        );
        let weight = line.residuals.len() as f64;
        Proposal::of(
            self.name(),
            interval,
            weight,
            basis,
            format!("{finding}; {chart}"),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::Status;
    use crate::intervals::testing::{Record, evidence, unfitted};

    const YEARS: [f64; 8] = [0.0, 1.02, 1.98, 3.05, 4.01, 5.0, 6.03, 6.97];
    const VALUES: [f64; 8] = [2.10, 2.52, 2.81, 3.35, 3.58, 4.12, 4.37, 4.85];

    fn record() -> Record {
        let mut record = Record::new();
        for (year, value) in YEARS.into_iter().zip(VALUES) {
            record = record.check(year * DAYS_PER_YEAR, value);
        }
        record
    }

    /// Check values 32 to 34 of interval-practice.md (worked example 4.2, example data;
    /// statsmodels 0.15.0 OLS): fit, prediction band at 10 years, crossings.
    #[test]
    fn the_worked_line_and_its_band_are_reproduced() {
        let histories = record().histories();
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

    /// Check value 34: the upper prediction limit reaches 6.0 at 9.427990 years, 2.4580
    /// years after the last calibration.
    #[test]
    fn the_interval_ends_where_the_band_meets_the_limit() {
        let mut record = record();
        record.item.tolerance = Tolerance::new(f64::NEG_INFINITY, 6.0);
        let (histories, fit) = (record.histories(), unfitted(Status::NoReading));
        let found =
            ControlChart::default().propose(&evidence(&histories, &fit), &GroupEvidence::default());
        let years = found.interval_days.unwrap() / DAYS_PER_YEAR;
        assert!(
            (years - (9.427_990 - 6.97)).abs() < 3e-5,
            "{years}: {}",
            found.reason
        );
    }

    #[test]
    fn an_adjustment_starts_a_level_and_keeps_the_slope() {
        let mut record = Record::new();
        for i in 0..4 {
            record = record.check(
                f64::from(i) * DAYS_PER_YEAR,
                0.2 * f64::from(i) + 0.01 * f64::from(i % 2),
            );
        }
        record = record.left(0.0);
        for i in 4..8 {
            record = record.check(
                f64::from(i) * DAYS_PER_YEAR,
                0.2 * f64::from(i - 3) + 0.01 * f64::from(i % 2),
            );
        }
        let (histories, fit) = (record.histories(), unfitted(Status::NoReading));
        let found =
            ControlChart::default().propose(&evidence(&histories, &fit), &GroupEvidence::default());
        let days = found.interval_days.unwrap();
        assert!((200.0..365.25).contains(&days), "{days}: {}", found.reason);
    }

    #[test]
    fn too_few_readings_say_so() {
        let histories = Record::new().check(0.0, 0.0).check(365.0, 0.1).histories();
        let fit = unfitted(Status::NoReading);
        let found =
            ControlChart::default().propose(&evidence(&histories, &fit), &GroupEvidence::default());
        assert_eq!(found.interval_days, None);
    }
}
