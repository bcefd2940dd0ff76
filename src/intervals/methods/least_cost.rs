/*! Least cost: the interval at which calibrating and being out of tolerance together cost least.

With C the cost of one calibration, K that of a year out of tolerance and P(t)
the probability in tolerance, the expected cost per year of the interval h is
`[C + K · ∫₀ʰ (1 − P(t)) dt] / h`. Its minimum lies where
`K · [(1 − P(h)) · h − ∫₀ʰ (1 − P) dt] = C`, which has one root as long as P
falls; the search also looks at every panel, for forecasts with a season.
The formula is elementary renewal-reward reasoning, derived for this program;
published comparisons judge interval methods by the same cost.
*/

pub(crate) mod cost;

use self::cost::{CostPoint, Costs, minimum, walk};
use crate::intervals::search::Forecast;
use crate::intervals::{
    Evidence, GroupEvidence, Method, MethodName, NoProposal, Proposal, Proposed,
};
use crate::settings::SettingError;
use crate::words::{days, percent, significant};
use std::collections::BTreeMap;

crate::settings! {
    /// Least cost: what a calibration and a year out of tolerance cost, where the register has no figures.
    pub struct LeastCostSettings in "intervals.least_cost" {
        /// Cost of one calibration, in any one currency.
        cost: Option<f64> = None => above(0.0),
        /// Cost of one year out of tolerance, in the same currency.
        cost_out_of_tolerance: Option<f64> = None => above(0.0),
        /// Costs by group: [intervals.least_cost.group."NAME"] with cost and cost_out_of_tolerance.
        group: BTreeMap<String, Costs> = BTreeMap::new(),
    }
    together LeastCostSettings::wrong_groups
}

impl LeastCostSettings {
    /// Groups whose costs are no amounts.
    fn wrong_groups(&self) -> Vec<SettingError> {
        let bad = |c: f64| !(c.is_finite() && c > 0.0);
        let wrong = |costs: &Costs| bad(costs.cost) || bad(costs.cost_out_of_tolerance);
        let groups = self.group.iter().filter(|(_, costs)| wrong(costs));
        let unusable_costs = |(name, _): (&String, &Costs)| {
            let message = format!("both costs of group \"{name}\" must be amounts above 0");
            SettingError::new("intervals.least_cost", "group", message)
        };
        groups.map(unusable_costs).collect()
    }

    /// Costs of one item: the register's, else its group's, else the table's.
    pub(crate) fn costs(&self, evidence: &Evidence<'_>) -> Option<Costs> {
        let item = evidence.history.item;
        let group = self.group.get(&item.group);
        let cost = item.cost.or(group.map(|g| g.cost)).or(self.cost)?;
        let out = item
            .cost_out_of_tolerance
            .or(group.map(|g| g.cost_out_of_tolerance))
            .or(self.cost_out_of_tolerance)?;
        let usable = |c: f64| c.is_finite() && c > 0.0;
        (usable(cost) && usable(out)).then_some(Costs {
            cost,
            cost_out_of_tolerance: out,
        })
    }
}

/// The method.
#[derive(Debug, Clone, Default)]
pub(crate) struct LeastCost {
    pub settings: LeastCostSettings,
}

impl Method for LeastCost {
    fn name(&self) -> MethodName {
        MethodName::LeastCost
    }

    fn proposal(&self, evidence: &Evidence<'_>, _group: &GroupEvidence) -> Proposed {
        let costs = self
            .settings
            .costs(evidence)
            .ok_or("the costs of a calibration and of a year out of tolerance are not given")?;
        let tolerance = evidence.tolerance.ok_or(NoProposal::NoTolerance)?;
        let forecast = Forecast::new(evidence)?;
        let probability = |h: f64| forecast.at(h).map_or(0.0, |p| p.probability_in(tolerance));
        let mut ends = vec![evidence.floor];
        ends.extend(forecast.panels(evidence.floor, evidence.cap));
        let best = minimum(costs, &ends, probability);
        let edge = if best.days >= evidence.cap {
            ", the longest allowed"
        } else if best.days <= evidence.floor {
            ", the shortest allowed"
        } else {
            ""
        };
        let reason = format!(
            "the expected cost per year is least, {}, at {}{edge}, where the probability in tolerance is {}{}",
            significant(best.cost_per_year, 3),
            days(best.days),
            // At the whole days that are decided.
            percent(probability(best.days.floor())),
            super::drift_crossing::shared_words(evidence),
        );
        let basis = format!(
            "{}; a calibration costs {}, a year out of tolerance {}",
            super::drift_crossing::basis(evidence),
            significant(costs.cost, 4),
            significant(costs.cost_out_of_tolerance, 4)
        );
        let weight = f64::from(evidence.fit.readings);
        Ok(Proposal::of(self.name(), best.days, weight, basis, reason))
    }
}

impl LeastCost {
    /// The cost curve from floor to cap for a chart, `points` long; empty where the method cannot run.
    pub(crate) fn curve(&self, evidence: &Evidence<'_>, points: usize) -> Vec<CostPoint> {
        let (Some(costs), Some(tolerance)) = (self.settings.costs(evidence), evidence.tolerance)
        else {
            return Vec::new();
        };
        let Ok(forecast) = Forecast::new(evidence) else {
            return Vec::new();
        };
        let (floor, cap) = (evidence.floor, evidence.cap);
        let ends: Vec<f64> = (0..points)
            .map(|j| floor + (cap - floor) * (j as f64 / (points.max(2) - 1) as f64).powi(2))
            .collect();
        walk(&ends, |h| {
            forecast.at(h).map_or(0.0, |p| p.probability_in(tolerance))
        })
        .map(|step| step.point(costs))
        .collect()
    }

    /// What an interval of `other` days costs against one of `chosen` days, in words.
    pub(crate) fn price(&self, evidence: &Evidence<'_>, chosen: f64, other: f64) -> Option<String> {
        let costs = self.settings.costs(evidence)?;
        let tolerance = evidence.tolerance?;
        let forecast = Forecast::new(evidence).ok()?;
        let at = |h: f64| {
            let ends = forecast.panels(0.0, h);
            let last = walk(&ends, |h| {
                forecast.at(h).map_or(0.0, |p| p.probability_in(tolerance))
            })
            .last();
            last.map(|step| step.point(costs))
        };
        let (here, there) = (at(chosen)?, at(other)?);
        let more = there.cost_per_year - here.cost_per_year;
        Some(format!(
            "an interval of {} costs {} per year, {} {} than {} (probability in tolerance at its end {} against {})",
            days(other),
            significant(there.cost_per_year, 3),
            significant(more.abs(), 3),
            if more >= 0.0 { "more" } else { "less" },
            days(chosen),
            percent(there.probability),
            percent(here.probability)
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::*;

    #[test]
    fn the_curve_is_lowest_at_the_proposal_and_prices_agree() {
        let mut record = Record::new().check(0.0, 0.0).check(365.0, 0.1);
        (record.item.cost, record.item.cost_out_of_tolerance) = (Some(100.0), Some(1200.0));
        let histories = record.histories();
        let known = Known {
            u_error: 0.1,
            drift: 0.3,
            u_drift: 0.1,
            ..Known::default()
        };
        let fit = known.fit(365.0, 2);
        let evidence = evidence(&histories, &fit);
        let method = LeastCost::default();
        let best = method.propose(&evidence, &GroupEvidence::default());
        let days = best.interval_days.unwrap();
        let curve = method.curve(&evidence, 200);
        let lowest = curve
            .iter()
            .min_by(|a, b| a.cost_per_year.total_cmp(&b.cost_per_year))
            .unwrap();
        near!(lowest.days, days, 20.0);
        let price = method.price(&evidence, days, 1500.0).unwrap();
        says!(price, " more than ");
        assert!(
            best.reason()
                .starts_with("the expected cost per year is least")
        );
    }

    #[test]
    fn without_costs_it_says_so() {
        let histories = Record::new().check(0.0, 0.0).histories();
        let fit = Known::default().fit(0.0, 1);
        let proposal =
            LeastCost::default().propose(&evidence(&histories, &fit), &GroupEvidence::default());
        says!(proposal.reason(), "the costs of a calibration");
    }
}
