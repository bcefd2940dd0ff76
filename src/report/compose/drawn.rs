/*! What of a history is drawn along its axis: readings, fit, tolerance and values in use. */

use super::past::PastPoint;
use super::suspect_curve::with_windows;
use crate::decisions::policy::Decision;
use crate::drift::series::readings::Axis;
use crate::drift::{Course, Fit, Prediction};
use crate::impact::Window;
use crate::records::{CheckKind, DAYS_PER_YEAR, History, Outcome, Tolerance};
use crate::report::{BookView, CurvePoint, ReadingView, ToleranceStep, ValueStep};

/// Points of the fitted curve in each stretch of a chart.
const CURVE_POINTS: usize = 60;
/// Points a year of a curve that swings with it.
const POINTS_A_YEAR: f64 = 24.0;
/// Years ahead of the last reading through which every swing is followed.
const MOST_SWINGS_YEARS: f64 = 200.0;
/// A chart looks at least this far past the as-of date, years.
const LEAST_FUTURE_YEARS: f64 = 0.5;
/// And no farther than this.
const MOST_FUTURE_YEARS: f64 = 10.0;

/// One history with its fit and the due date it is drawn up to.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Drawn<'a> {
    /// The checks and the item.
    pub history: History<'a>,
    /// The fitted drift.
    pub fit: &'a Fit,
    pub decision: &'a Decision,
    /// The fit through the past.
    pub past: &'a [PastPoint],
    /// When its work is suspect.
    pub windows: &'a [Window],
    /// Axis of the drift.
    pub axis: Axis,
    /// Level of both bands.
    pub level: f64,
    /// The as-of date, days since 1970-01-01.
    pub as_of: f64,
}

impl Drawn<'_> {
    /// The small picture of this history in its group's book.
    pub(crate) fn book_view(&self, slug: String) -> BookView {
        let item = self.history.item;
        BookView {
            instrument: item.instrument.clone(),
            point: item.point.clone(),
            unit: item.unit.clone(),
            slug,
            action: self.decision.action,
            usage_unit: self.usage_unit(),
            readings: self.readings(),
            curve: self.curve(),
            tolerance: self.tolerance_steps().pop(),
            at_due: self.at_due(),
        }
    }

    /// Error expected on the due date; where none is set, at the end of the forecast.
    fn at_due(&self) -> Option<f64> {
        let finite = |error: &f64| error.is_finite();
        let due = Some(self.decision.predicted_error).filter(finite);
        due.or_else(|| Some(self.fit.at(self.end())?.expected).filter(finite))
    }

    /// Unit of an axis of usage.
    pub(crate) fn usage_unit(&self) -> Option<String> {
        (self.axis == Axis::Usage).then(|| "usage".to_string())
    }

    /// Place of check `i` on the axis: its day, or its usage.
    fn along(&self, i: usize) -> f64 {
        match self.axis {
            Axis::Time => self.history.date[i],
            Axis::Usage => self.history.usage[i],
        }
    }

    /// Readings that have a place on the axis, oldest first.
    pub(crate) fn readings(&self) -> Vec<ReadingView> {
        let history = self.history;
        (0..history.len())
            .filter(|i| self.along(*i).is_finite())
            .map(|i| ReadingView {
                day: self.along(i),
                value: history.as_found[i],
                u: history.u[i],
                as_left: Some(history.as_left[i])
                    .filter(|left| left.is_finite() && *left != history.as_found[i]),
                out_of_tolerance: history.outcome[i] == Outcome::Out,
                outlier: self.fit.suspects.iter().any(|s| s.row == i as u32),
                event: history.happened(i).word(),
                source: Some(history.source[i]),
            })
            .collect()
    }

    /// The fit through the past and the forecast to the end of the chart.
    pub(crate) fn curve(&self) -> Vec<CurvePoint> {
        let limits = self.tolerances();
        let point =
            |x, prediction: &Prediction, segment| self.curve_point(x, prediction, segment, &limits);
        let past: Vec<CurvePoint> = self
            .past
            .iter()
            .map(|(x, segment, prediction)| point(*x, prediction, *segment))
            .collect();
        // Windows are stretches of time, and say nothing along another axis.
        let past = match self.axis {
            Axis::Time => with_windows(past, self.windows, self.level),
            Axis::Usage => past,
        };
        let last_segment = self.past.last().map_or(0, |p| p.1);
        let (start, end) = (self.fit.last_x, self.end());
        let years = (end - start).clamp(0.0, MOST_SWINGS_YEARS);
        let points = match self.fit.has_annual_term() && self.axis == Axis::Time {
            true => CURVE_POINTS.max((POINTS_A_YEAR * years).ceil() as usize),
            false => CURVE_POINTS,
        };
        let ahead = (1..=points).filter_map(|k| {
            let x = start + (end - start) * k as f64 / points as f64;
            let prediction = (end > start).then(|| self.fit.at(x)).flatten()?;
            Some(point(x, &prediction, last_segment))
        });
        let points: Vec<CurvePoint> = past.into_iter().chain(ahead).collect();
        // Of one day there is nothing to draw, and nothing to name beside it.
        match points.last().map(|last| last.day) > points.first().map(|first| first.day) {
            true => points,
            false => Vec::new(),
        }
    }

    /// Where the forecast ends, years or usage.
    fn end(&self) -> f64 {
        let day = self
            .decision
            .due_date
            .max(self.as_of + LEAST_FUTURE_YEARS * DAYS_PER_YEAR)
            .min(self.as_of + MOST_FUTURE_YEARS * DAYS_PER_YEAR);
        let course = Course::of(self.fit, &self.history, self.axis);
        course.map_or(self.fit.last_x, |course| course.x_on(day))
    }

    fn curve_point(
        &self,
        x: f64,
        prediction: &Prediction,
        segment: u32,
        limits: &[(f64, Option<Tolerance>)],
    ) -> CurvePoint {
        let (confidence, reading) = prediction.bands(self.level);
        let place = match self.axis {
            Axis::Time => x * DAYS_PER_YEAR,
            Axis::Usage => x,
        };
        // The first tolerance known also holds before it was first stated.
        let before = limits.partition_point(|(from, _)| *from <= place);
        let tolerance = limits.get(before.saturating_sub(1)).and_then(|step| step.1);
        let tolerance = tolerance.filter(|_| !self.decision.level_in_doubt);
        CurvePoint {
            day: place,
            in_tolerance: tolerance.map(|limits| prediction.probability_in(limits)),
            expected: prediction.expected,
            confidence,
            prediction: reading,
            segment,
        }
    }

    /// Values as left where an event set the level and the record states it, each until the next
    /// calibration; nothing else is known of what the owner carries.
    pub(crate) fn values_left(&self) -> Vec<ValueStep> {
        let history = self.history;
        let mut until = f64::INFINITY;
        let mut steps: Vec<ValueStep> = Vec::new();
        for i in (0..history.len()).rev() {
            let set = history.happened(i).restarts_level() && history.as_left[i].is_finite();
            if set && self.along(i).is_finite() {
                steps.push(ValueStep {
                    from: self.along(i),
                    until,
                    counted_from: None,
                    value: history.as_left[i],
                });
            }
            if history.kind[i] != CheckKind::Check {
                until = self.along(i);
            }
        }
        steps.reverse();
        steps
    }

    /// Place of the as-of date on the axis; that of the last reading where the use is not known.
    fn now(&self) -> f64 {
        match self.axis {
            Axis::Time => self.as_of,
            Axis::Usage => Course::of(self.fit, &self.history, self.axis)
                .map_or(self.fit.last_x, |course| course.x_on(self.as_of)),
        }
    }

    /// Tolerance at each check that has a place on the axis, and today's.
    fn tolerances(&self) -> Vec<(f64, Option<Tolerance>)> {
        let history = self.history;
        (0..history.len())
            .filter(|i| self.along(*i).is_finite())
            .map(|i| (self.along(i), history.tolerance_at(i)))
            .chain([(self.now(), history.item.tolerance)])
            .collect()
    }

    /// Tolerance in force at each check, and today's, where it changes.
    pub(crate) fn tolerance_steps(&self) -> Vec<ToleranceStep> {
        let mut steps: Vec<ToleranceStep> = Vec::new();
        for (from, tolerance) in self.tolerances() {
            let (lower, upper) = limits(tolerance);
            let same = steps
                .last()
                .is_some_and(|s| s.lower == lower && s.upper == upper);
            if (lower.is_some() || upper.is_some()) && !same {
                steps.push(ToleranceStep::new(from, lower, upper));
            }
        }
        steps
    }
}

/// Lower and upper limit, where they are set.
pub(crate) fn limits(tolerance: Option<Tolerance>) -> (Option<f64>, Option<f64>) {
    let finite = |value: f64| value.is_finite().then_some(value);
    (
        tolerance.and_then(|t| finite(t.lower())),
        tolerance.and_then(|t| finite(t.upper())),
    )
}
