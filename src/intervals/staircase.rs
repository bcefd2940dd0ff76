/*! Staircase: lengthen after a check well inside the limits, shorten after one outside.

ILAC-G24:2022 / OIML D 10:2022, method 1, "automatic adjustment or staircase
(calendar-time)". The guide's example lengthens where the error as found lies
within 80 % of the maximum permissible error and shortens where it lies outside
it; it prescribes no step. The steps here are settings: a policy, not a statistic.

With q = |error as found − centre| / half-width of the tolerance:
I' = I · lengthen if q ≤ margin; I' = I if margin < q ≤ 1; I' = I · shorten if q > 1.
*/

use super::words::{count, date, days, figure, percent};
use super::{Evidence, GroupEvidence, Method, MethodName, Proposal};
use crate::records::{Outcome, Tolerance};
use crate::settings::SettingError;

crate::settings! {
    /// Staircase (ILAC-G24 / OIML D 10 method 1).
    pub struct StaircaseSettings in "intervals.staircase" {
        /// Share of the tolerance within which an error as found lengthens the interval (the guide's example: 0.8).
        margin: f64 = 0.8,
        /// Factor of the interval after a check within the margin, above 1.
        lengthen: f64 = 1.25,
        /// Factor of the interval after a check out of tolerance, below 1.
        shorten: f64 = 0.5,
        /// Replay every check of the record from the interval in use, instead of acting on the last one.
        replay: bool = false,
    }
}

impl StaircaseSettings {
    /// The values that cannot be used.
    pub fn check(&self) -> Vec<SettingError> {
        let rows = [
            (
                "margin",
                self.margin > 0.0 && self.margin <= 1.0,
                "above 0 and at most 1",
            ),
            (
                "lengthen",
                self.lengthen >= 1.0 && self.lengthen.is_finite(),
                "1 or more",
            ),
            (
                "shorten",
                self.shorten > 0.0 && self.shorten <= 1.0,
                "above 0 and at most 1",
            ),
        ];
        rows.into_iter()
            .filter(|(_, good, _)| !good)
            .map(|(key, _, range)| {
                SettingError::new(
                    "intervals.staircase",
                    key,
                    format!("expected a number {range}"),
                )
            })
            .collect()
    }

    /// Factor of the interval after one check: `share` is the part of the tolerance
    /// used up as found, where the value is known.
    fn factor(&self, share: Option<f64>, outcome: Outcome) -> f64 {
        match (share, outcome) {
            (_, Outcome::Out) => self.shorten,
            (Some(q), Outcome::In) if q <= self.margin => self.lengthen,
            _ => 1.0,
        }
    }
}

/// The method.
#[derive(Debug, Clone, Default)]
pub struct Staircase {
    /// Its settings.
    pub settings: StaircaseSettings,
}

impl Method for Staircase {
    fn name(&self) -> MethodName {
        MethodName::Staircase
    }

    fn propose(&self, evidence: &Evidence<'_>, _group: &GroupEvidence) -> Proposal {
        let Some((last, outcome)) = evidence.judged().last() else {
            return Proposal::not_applicable(self.name(), "no check has a known outcome");
        };
        let judge = |i: usize| {
            let tolerance = evidence.history.tolerance_at(i).or(evidence.tolerance);
            tolerance.and_then(|t| share_used(t, evidence.history.as_found[i]))
        };
        let interval = if self.settings.replay {
            evidence
                .judged()
                .fold(evidence.current_interval, |days, (i, o)| {
                    evidence.bounded(days * self.settings.factor(judge(i), o))
                })
        } else {
            evidence.current_interval * self.settings.factor(judge(last), outcome)
        };
        let reason = self.reason(evidence, last, judge(last), outcome, interval);
        let basis = if self.settings.replay {
            count(evidence.judged().count(), "check") + ", replayed from the interval in use"
        } else {
            format!("the check of {}", date(evidence.history.date[last]))
        };
        Proposal::of(self.name(), interval, 1.0, basis, reason)
    }
}

impl Staircase {
    fn reason(
        &self,
        evidence: &Evidence<'_>,
        check: usize,
        share: Option<f64>,
        outcome: Outcome,
        interval: f64,
    ) -> String {
        let unit = &evidence.history.item.unit;
        let found = match share {
            Some(q) => format!(
                "{} as found is {} of the tolerance",
                figure(evidence.history.as_found[check], unit),
                percent(q)
            ),
            None if outcome == Outcome::In => {
                "in tolerance as found, by how much is not known".into()
            }
            None => "out of tolerance as found".into(),
        };
        let does = match self.settings.factor(share, outcome) {
            f if f > 1.0 => format!(
                "within the margin of {}, which lengthens",
                percent(self.settings.margin)
            ),
            f if f < 1.0 => "outside, which shortens".into(),
            _ => "inside but not within the margin, which keeps".into(),
        };
        format!(
            "{found}: {does} the interval of {} to {}",
            days(evidence.current_interval),
            days(interval)
        )
    }
}

/// Share of the tolerance used up by `error`: 0 at its centre (or at zero, for a one-sided
/// tolerance), 1 at a limit. `None` where the error is not known or the limit is zero.
pub(super) fn share_used(tolerance: Tolerance, error: f64) -> Option<f64> {
    let (lower, upper) = (tolerance.lower(), tolerance.upper());
    let share = if lower.is_finite() && upper.is_finite() {
        (error - 0.5 * (lower + upper)).abs() / tolerance.half_width()
    } else if upper.is_finite() {
        (error / upper).max(0.0)
    } else {
        (error / lower).max(0.0)
    };
    share.is_finite().then_some(share)
}
