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

use crate::drift::series::readings::{Axis, fill_readings};
use crate::intervals::evidence::own_line::{outside, own_line};
use crate::intervals::search::{Crossing, first_below};
use crate::intervals::{
    Evidence, GroupEvidence, Method, MethodName, NoProposal, Proposal, Proposed,
};
use crate::records::{DAYS_PER_YEAR, Tolerance};
use crate::stats::{LeastSquaresLine, quantile};
use crate::words::{count, date, days, figure, percent};

/// Panels of the first look; the band is smooth.
const PANELS: usize = 24;

crate::settings! {
    /// Control chart (ILAC-G24 / OIML D 10 method 2): the item's own line and prediction band.
    pub struct ControlChartSettings in "intervals.control_chart" {
        /// Level of the two-sided prediction band.
        level: f64 = 0.95 => PROBABILITY,
        /// Fewest readings for a line.
        fewest: u32 = 5 => at_least(3.0),
    }
}

/// The method.
#[derive(Debug, Clone, Default)]
pub(crate) struct ControlChart {
    pub settings: ControlChartSettings,
}

impl Method for ControlChart {
    fn name(&self) -> MethodName {
        MethodName::ControlChart
    }

    fn proposal(&self, evidence: &Evidence<'_>, _group: &GroupEvidence) -> Proposed {
        let tolerance = evidence.tolerance.ok_or(NoProposal::NoTolerance)?;
        let mut readings = Vec::with_capacity(evidence.history.len() + 1);
        if fill_readings(&evidence.history, Axis::Time, &mut readings).is_some() {
            let because = "the value left at the last event is not known, so that no line leads on";
            return Err(because.into());
        }
        let current = readings.last().map_or(0, |r| r.drift_segment);
        readings.retain(|r| r.drift_segment == current);
        let line = own_line(&readings);
        let Some(line) = line.filter(|_| readings.len() >= self.settings.fewest as usize) else {
            let because = format!(
                "{} since the drift last started anew, and a line with its scatter needs {}",
                count(readings.len(), "reading"),
                self.settings.fewest
            );
            return Err(because.into());
        };
        Ok(self.by_line(evidence, tolerance, &line))
    }
}

impl ControlChart {
    fn by_line(
        &self,
        evidence: &Evidence<'_>,
        tolerance: Tolerance,
        line: &LeastSquaresLine,
    ) -> Proposal {
        let (free, finding) = self.until_band_leaves(evidence, tolerance, line);
        let outside = outside(line);
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
            figure(line.deviation(), unit)
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

    /// Days after the calibration at which the band for the next reading reaches a limit, at most the cap, and the
    /// same in words.
    fn until_band_leaves(
        &self,
        evidence: &Evidence<'_>,
        tolerance: Tolerance,
        line: &LeastSquaresLine,
    ) -> (f64, String) {
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
        let band = format!(
            "the {} band for the next reading",
            percent(self.settings.level)
        );
        match first_below(0.0, 0.0, &panels, margin) {
            Crossing::AtStart => (0.0, format!("{band} reaches a limit at once")),
            Crossing::At(h) => (
                h,
                format!(
                    "{band} reaches a limit {} after the calibration of {}",
                    days(h),
                    date(evidence.last_calibration)
                ),
            ),
            Crossing::Beyond => (
                cap,
                format!("{band} stays inside the limits for {}", days(cap)),
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::*;

    const YEARS: [f64; 8] = [0.0, 1.02, 1.98, 3.05, 4.01, 5.0, 6.03, 6.97];
    const VALUES: [f64; 8] = [2.10, 2.52, 2.81, 3.35, 3.58, 4.12, 4.37, 4.85];

    fn record() -> Record {
        let mut record = Record::new();
        for (year, value) in YEARS.into_iter().zip(VALUES) {
            record = record.check(year * DAYS_PER_YEAR, value);
        }
        record
    }

    /// Check value 34: the upper prediction limit reaches 6.0 at 9.427990 years, 2.4580
    /// years after the last calibration.
    #[test]
    fn the_interval_ends_where_the_band_meets_the_limit() {
        let mut record = record();
        record.item.tolerance = Tolerance::new(f64::NEG_INFINITY, 6.0);
        let found = alone(&ControlChart::default(), record);
        let years = found.interval_days.unwrap() / DAYS_PER_YEAR;
        near!(years, 9.427_990 - 6.97, 3e-5, "{years}: {}", found.reason());
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
        let found = alone(&ControlChart::default(), record);
        let days = found.interval_days.unwrap();
        assert!(
            (200.0..365.25).contains(&days),
            "{days}: {}",
            found.reason()
        );
    }

    #[test]
    fn too_few_readings_say_so() {
        let found = alone(
            &ControlChart::default(),
            Record::new().check(0.0, 0.0).check(365.0, 0.1),
        );
        assert_eq!(found.interval_days, None);
    }
}
