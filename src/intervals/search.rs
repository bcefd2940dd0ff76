/*! Forecasts along the interval, and the search for the day on which one crosses a line.

Methods look at a history's fit only through [`Forecast`]: days since the last
calibration in, prediction out, on either axis of the drift.
*/

use super::Evidence;
use super::no_proposal::NoProposal;
use crate::drift::{Course, Prediction, Status};

/// Panels of the first look along the interval; they widen with the square of their number.
const PANELS: usize = 24;
/// Widest panel for a model with a yearly season, days: a twelfth of the season.
const SEASON_PANEL_DAYS: f64 = 30.0;
/// A crossing is found to this many days.
const RESOLUTION_DAYS: f64 = 0.01;

/// The forecast of one history, by days since its last calibration.
///
/// Forecasts rest on all readings up to the as-of date. Days before the last
/// reading answer with what was known at that reading: the past is not forecast.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Forecast<'a> {
    evidence: &'a Evidence<'a>,
    course: Course<'a>,
}

impl<'a> Forecast<'a> {
    /// A forecast, or the reason why none can be made.
    pub(crate) fn new(evidence: &'a Evidence<'a>) -> Result<Self, NoProposal> {
        match evidence.fit.status {
            Status::Estimated | Status::FromClass => {}
            status => return Err(NoProposal::Fit(status)),
        }
        let forecast = Self::unused(evidence)?;
        match forecast.at(0.0) {
            Some(p) if p.expected.is_finite() && p.u_error.is_finite() => Ok(forecast),
            _ => Err(NoProposal::NoForecast),
        }
    }

    /// The forecast whatever the fit could estimate, for showing rather than deciding.
    pub(crate) fn unused(evidence: &'a Evidence<'a>) -> Result<Self, NoProposal> {
        let course = Course::of(evidence.fit, &evidence.history, evidence.axis)?;
        Ok(Self { evidence, course })
    }

    /// Prediction `days` after the last calibration.
    pub(crate) fn at(&self, days: f64) -> Option<Prediction> {
        self.course.known_on(self.evidence.last_calibration + days)
    }

    /// Probability that the true error is in tolerance `days` after the last
    /// calibration; `None` where there is no tolerance.
    pub(crate) fn probability_in(&self, days: f64) -> Option<f64> {
        let tolerance = self.evidence.tolerance?;
        Some(self.at(days)?.probability_in(tolerance))
    }

    /// Days since the last calibration on the as-of date; at least 0.
    pub(crate) fn elapsed(&self) -> f64 {
        (self.evidence.as_of - self.evidence.last_calibration).max(0.0)
    }

    /// Ends of the panels of a first look from `from` to `to` days: dense at the start,
    /// and never wider than a month where the model has a season.
    pub(crate) fn panels(&self, from: f64, to: f64) -> Vec<f64> {
        let span = to - from;
        if self.evidence.fit.has_annual_term() {
            let n = ((span / SEASON_PANEL_DAYS).ceil() as usize).max(PANELS);
            return (1..=n).map(|j| from + span * j as f64 / n as f64).collect();
        }
        let share = |j: usize| (j as f64 / PANELS as f64).powi(2);
        (1..=PANELS).map(|j| from + span * share(j)).collect()
    }
}

/// Where a falling figure first passes below a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Crossing {
    /// Already below at the start.
    AtStart,
    /// First below after this many days, to 0.01 d.
    At(f64),
    /// Not within the days looked at.
    Beyond,
}

/// First day at which `figure` falls below `line`, looked for at the ends of the
/// `panels` and refined inside the first panel that shows it.
pub(crate) fn first_below(
    line: f64,
    from: f64,
    panels: &[f64],
    mut figure: impl FnMut(f64) -> f64,
) -> Crossing {
    let mut before = (from, figure(from) - line);
    if before.1.is_nan() || before.1 < 0.0 {
        return Crossing::AtStart;
    }
    for &end in panels {
        let here = (end, figure(end) - line);
        if here.1.is_nan() || here.1 < 0.0 {
            return Crossing::At(refine(before, here, |days| figure(days) - line));
        }
        before = here;
    }
    Crossing::Beyond
}

/// Root of `figure` between a point at or above zero and one below, from the side above:
/// false position with the Illinois halving, kept half a resolution off the ends so that
/// the bracket closes, and every third step a bisection so that it cannot stall.
pub(crate) fn refine(
    mut above: (f64, f64),
    mut below: (f64, f64),
    mut figure: impl FnMut(f64) -> f64,
) -> f64 {
    let mut kept_above = 0;
    for step in 0..60 {
        let width = below.0 - above.0;
        if width.abs() <= RESOLUTION_DAYS {
            break;
        }
        let share = above.1 / (above.1 - below.1);
        let least = 0.5 * RESOLUTION_DAYS / width.abs();
        let guess = if share.is_finite() && step % 3 != 2 {
            above.0 + width * share.clamp(least, 1.0 - least)
        } else {
            above.0 + 0.5 * width
        };
        let value = figure(guess);
        if value >= 0.0 {
            above = (guess, value);
            if kept_above == 1 {
                below.1 *= 0.5;
            }
            kept_above = 1;
        } else {
            below = (guess, if value.is_nan() { -1.0 } else { value });
            if kept_above == -1 {
                above.1 *= 0.5;
            }
            kept_above = -1;
        }
    }
    above.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn panels(to: f64) -> Vec<f64> {
        (1..=PANELS)
            .map(|j| to * (j as f64 / PANELS as f64).powi(2))
            .collect()
    }

    #[test]
    fn crossing_of_a_curve_is_found_to_a_hundredth_of_a_day() {
        let mut calls = 0;
        let found = first_below(0.95, 0.0, &panels(1826.0), |d| {
            calls += 1;
            (-d / 4000.0).exp()
        });
        let truth = -4000.0 * 0.95_f64.ln();
        let Crossing::At(days) = found else {
            panic!("{found:?}");
        };
        assert!(
            (days - truth).abs() <= 0.02 && days <= truth,
            "{days} against {truth}"
        );
        assert!(calls < 40, "{calls} evaluations");
    }

    #[test]
    fn a_cliff_does_not_stall_the_search() {
        let found = first_below(0.95, 0.0, &panels(1826.0), |d| f64::from(d < 777.77));
        assert!(matches!(found, Crossing::At(d) if (d - 777.77).abs() < 0.02));
    }

    #[test]
    fn start_and_end_are_told_apart() {
        assert_eq!(
            first_below(0.95, 0.0, &panels(100.0), |_| 0.9),
            Crossing::AtStart
        );
        assert_eq!(
            first_below(0.95, 0.0, &panels(100.0), |_| 1.0),
            Crossing::Beyond
        );
        assert_eq!(
            first_below(0.95, 0.0, &panels(100.0), |_| f64::NAN),
            Crossing::AtStart
        );
    }
}
