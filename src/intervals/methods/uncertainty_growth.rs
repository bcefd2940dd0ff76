/*! Uncertainty growth: the longest time for which the predicted value stays known well enough.

For a standard whose value is predicted and corrected for, what limits the
interval is the expanded uncertainty of the prediction: the interval is the first
h at which k · u(h) exceeds the allowed expanded uncertainty. It needs no
tolerance. In closed form, u² = u₀² + (d·t)² gives t = √(u_max² − u₀²)/d and
u² = u₀² + D·t gives t = (u_max² − u₀²)/D (the facts sheet's section 4.4).
*/

use crate::intervals::search::{Crossing, Forecast, first_below};
use crate::intervals::{Evidence, GroupEvidence, Method, MethodName, Proposal, Proposed};
use crate::words::{date, days, figure};
use std::collections::BTreeMap;

crate::settings! {
    /// Uncertainty growth: the allowed uncertainty of the predicted value.
    pub struct UncertaintyGrowthSettings in "intervals.uncertainty_growth" {
        /// Allowed expanded uncertainty of the predicted value, in the history's unit.
        allowed: Option<f64> = None => above(0.0),
        /// The same by group: [intervals.uncertainty_growth.allowed_by_group] "NAME" = value.
        allowed_by_group: BTreeMap<String, f64> = BTreeMap::new() => above(0.0),
        /// The same as a share of half the tolerance, where no absolute value is given.
        allowed_share: Option<f64> = None => above(0.0),
        /// Coverage factor of the expanded uncertainty.
        coverage_factor: f64 = 2.0 => above(0.0),
    }
}

impl UncertaintyGrowthSettings {
    fn allowed(&self, evidence: &Evidence<'_>) -> Option<f64> {
        let by_group = self.allowed_by_group.get(&evidence.history.item.group);
        let by_share = || Some(self.allowed_share? * evidence.tolerance?.half_width());
        by_group.copied().or(self.allowed).or_else(by_share)
    }
}

/// The method.
#[derive(Debug, Clone, Default)]
pub(crate) struct UncertaintyGrowth {
    pub settings: UncertaintyGrowthSettings,
}

impl Method for UncertaintyGrowth {
    fn name(&self) -> MethodName {
        MethodName::UncertaintyGrowth
    }

    fn proposal(&self, evidence: &Evidence<'_>, _group: &GroupEvidence) -> Proposed {
        let allowed = self
            .settings
            .allowed(evidence)
            .ok_or("no allowed uncertainty of the predicted value is set")?;
        let forecast = Forecast::new(evidence)?;
        let k = self.settings.coverage_factor;
        let expanded = |h: f64| forecast.at(h).map_or(f64::NAN, |p| k * p.u_error);
        let panels = forecast.panels(0.0, evidence.cap);
        let unit = &evidence.history.item.unit;
        let limit = figure(allowed, unit);
        let crossing = first_below(0.0, 0.0, &panels, |h| allowed - expanded(h));
        let (interval, finding) = match crossing {
            Crossing::AtStart => {
                let now = figure(expanded(0.0), unit);
                (
                    0.0,
                    format!("is {now} at the last reading already, above the allowed {limit}"),
                )
            }
            Crossing::At(h) => (h, format!("reaches the allowed {limit} after {}", days(h))),
            Crossing::Beyond => (
                evidence.cap,
                format!(
                    "is still {} after {}, within the allowed {limit}",
                    figure(expanded(evidence.cap), unit),
                    days(evidence.cap)
                ),
            ),
        };
        let reason = format!(
            "the expanded uncertainty (k = {k}) of the value predicted from the calibration of {} {finding}",
            date(evidence.last_calibration)
        );
        let weight = f64::from(evidence.fit.readings);
        let basis = super::drift_crossing::basis(evidence);
        Ok(Proposal::of(self.name(), interval, weight, basis, reason))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::*;
    use crate::records::DAYS_PER_YEAR;

    /// Check value 39 of interval-practice.md: u₀ = 0.04, u_max = 0.10; d = 0.0075 linear
    /// gives 12.220202, D = 0.0004 gives 21.0 (closed forms; its months are years here).
    #[test]
    fn the_closed_forms_are_reproduced() {
        let linear = Known {
            u_error: 0.04,
            u_drift: 0.0075,
            ..Known::default()
        };
        let diffusing = Known {
            u_error: 0.04,
            wander: 0.02,
            ..Known::default()
        };
        for (known, years) in [(linear, 12.220_202), (diffusing, 21.0)] {
            let mut record = Record::new().check(0.0, 0.0);
            record.item.tolerance = None;
            let histories = record.histories();
            let fit = known.fit(0.0, 4);
            let mut evidence = evidence(&histories, &fit);
            evidence.cap = 1e4;
            let settings = UncertaintyGrowthSettings {
                allowed: Some(0.10),
                coverage_factor: 1.0,
                ..Default::default()
            };
            let found =
                UncertaintyGrowth { settings }.propose(&evidence, &GroupEvidence::default());
            let found = found.interval_days.unwrap() / DAYS_PER_YEAR;
            near!(found, years, 5e-5);
        }
    }
}
