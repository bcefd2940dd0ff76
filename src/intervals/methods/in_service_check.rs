/*! In-service check: frequent checks between calibrations decide when the next one is due.

ILAC-G24:2022 / OIML D 10:2022, method 4 ("black-box" testing): critical
parameters are checked in service, and an item found outside goes back for full
calibration. The guide gives no formula; this program's reading of it: a check
acts where |error − centre| exceeds the limit less `guard` standard
uncertainties of the check, which sees an item exactly at its limit with
probability Φ(guard) each time. While the checks since the last calibration pass
and the latest is not older than allowed, the full interval runs to the back-stop;
an acting check makes the item due on its day; else the interval in use stays.
*/

use crate::intervals::{Evidence, GroupEvidence, Method, MethodName, Proposal, Proposed};
use crate::records::{CheckKind, Outcome, Tolerance};
use crate::stats::{cumulative, median};
use crate::words::{count, date, days, percent};

crate::settings! {
    /// In-service check (ILAC-G24 / OIML D 10 method 4): checks between calibrations decide.
    pub struct InServiceCheckSettings in "intervals.in_service_check" {
        /// Guard band of the check in standard uncertainties of the check.
        guard: f64 = 1.0 => at_least(0.0),
        /// Fewest checks since the last calibration for an interval longer than the one in use.
        fewest: u32 = 3,
        /// Age of the latest check beyond which checks no longer count, as a multiple of their usual spacing.
        oldest: f64 = 2.0 => at_least(1.0),
        /// Longest time between full calibrations while checks pass, days; none = the cap.
        backstop_days: Option<f64> = None => above(0.0),
    }
}

/// Probability that one check sees an item whose true error is `shift`, by the limit
/// `limit` less `guard` standard uncertainties `u` of the check.
fn detection(shift: f64, limit: f64, guard: f64, u: f64) -> f64 {
    cumulative((shift - (limit - guard * u)) / u, f64::INFINITY)
}

/// The method.
#[derive(Debug, Clone, Default)]
pub(crate) struct InServiceCheck {
    pub settings: InServiceCheckSettings,
}

impl Method for InServiceCheck {
    fn name(&self) -> MethodName {
        MethodName::InServiceCheck
    }

    fn proposal(&self, evidence: &Evidence<'_>, _group: &GroupEvidence) -> Proposed {
        let history = &evidence.history;
        let start = evidence.last_calibration;
        let checks: Vec<usize> = (0..history.len())
            .filter(|&i| history.kind[i] == CheckKind::Check && history.date[i] > start)
            .collect();
        let &latest = checks
            .last()
            .ok_or("no row of kind \"check\" lies after the last calibration")?;
        let caught = self.sees_at_limit();
        let basis = format!(
            "{} since the calibration of {}; each sees an item at its limit with probability {}",
            count(checks.len(), "check"),
            date(start),
            percent(caught)
        );
        let weight = checks.len() as f64;
        let acting = checks.iter().copied().find(|&i| self.acts(evidence, i));
        let (interval, reason) = if let Some(i) = acting {
            let reason = format!(
                "the in-service check of {} lies outside its limit, so a full calibration is due from that day",
                date(history.date[i])
            );
            (history.date[i] - start, reason)
        } else {
            let mut spacing = vec![history.date[checks[0]] - start];
            spacing.extend(
                checks
                    .windows(2)
                    .map(|w| history.date[w[1]] - history.date[w[0]]),
            );
            self.while_passing(
                evidence,
                history.date[latest],
                median(&spacing),
                checks.len(),
            )
        };
        Ok(Proposal::of(self.name(), interval, weight, basis, reason))
    }
}

impl InServiceCheck {
    fn sees_at_limit(&self) -> f64 {
        detection(1.0, 1.0, self.settings.guard, 1.0)
    }

    fn while_passing(
        &self,
        evidence: &Evidence<'_>,
        latest: f64,
        spacing: f64,
        checks: usize,
    ) -> (f64, String) {
        let current = evidence.current_interval;
        let age = evidence.as_of - latest;
        if checks < self.settings.fewest as usize {
            let needed = self.settings.fewest;
            let reason = format!(
                "all checks pass, but {needed} are needed, so {} stay",
                days(current)
            );
            return (current, reason);
        }
        if age > self.settings.oldest * spacing {
            let reason = format!(
                "all checks pass, but the latest, of {}, is too old for checks every {}, so {} stay",
                date(latest),
                days(spacing),
                days(current)
            );
            return (current, reason);
        }
        let most = self.settings.backstop_days.unwrap_or(evidence.cap);
        let reason = format!(
            "all in-service checks pass, about every {}, so a full calibration is due at the back-stop of {}",
            days(spacing),
            days(most)
        );
        (most, reason)
    }

    /// True where check `i` lies outside its guarded limit, or is recorded as out.
    fn acts(&self, evidence: &Evidence<'_>, i: usize) -> bool {
        let history = &evidence.history;
        let tolerance: Option<Tolerance> = history.tolerance_at(i).or(evidence.tolerance);
        let (Some(tolerance), true) = (tolerance, history.as_found[i].is_finite()) else {
            return evidence.outcome(i) == Outcome::Out;
        };
        let u = history.u[i];
        let band = if u.is_nan() {
            0.0
        } else {
            self.settings.guard * u
        };
        let value = history.as_found[i];
        value > tolerance.upper() - band || value < tolerance.lower() + band
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::*;

    /// Worked example of interval-practice.md 1.6: shift 10 = limit, u = 2, check limit 8:
    /// seen with 0.8413 each time, missed twice with 0.0252.
    #[test]
    fn detection_is_that_of_the_worked_example() {
        let seen = detection(10.0, 10.0, 1.0, 2.0);
        near!(seen, 0.8413, 5e-5);
        near!((1.0 - seen).powi(2), 0.0252, 5e-5);
    }

    fn proposed(values: &[f64]) -> Proposal {
        let mut record = Record::new().check(0.0, 0.0).kind(CheckKind::Calibration);
        for (i, value) in values.iter().enumerate() {
            record = record
                .check(30.0 * (i + 1) as f64, *value)
                .kind(CheckKind::Check);
        }
        alone(&InServiceCheck::default(), record)
    }

    #[test]
    fn checks_decide_when_calibration_is_due() {
        assert_eq!(proposed(&[]).interval_days, None);
        assert_eq!(proposed(&[0.1, 0.2]).interval_days, Some(365.0));
        assert_eq!(proposed(&[0.1, 0.2, 0.1, 0.0]).interval_days, Some(1826.0));
        // Tolerance ±1, u = 0.1, guard 1: a check acts beyond 0.9.
        assert_eq!(proposed(&[0.1, 0.2, 0.95, 0.0]).interval_days, Some(90.0));
    }
}
