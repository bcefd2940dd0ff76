/*! Least cost: the interval at which calibrating and being out of tolerance together cost least.

With C the cost of one calibration, K that of a year out of tolerance and P(t)
the probability in tolerance, the expected cost per year of the interval h is
`[C + K · ∫₀ʰ (1 − P(t)) dt] / h`. Its minimum lies where
`K · [(1 − P(h)) · h − ∫₀ʰ (1 − P) dt] = C`, which has one root as long as P
falls; the search also looks at every panel, for forecasts with a season.
The formula is elementary renewal-reward reasoning, derived for this program;
published comparisons judge interval methods by the same cost.
*/

use super::search::{Forecast, refine};
use super::words::{days, percent, significant};
use super::{Evidence, GroupEvidence, Method, MethodName, Proposal};
use crate::records::DAYS_PER_YEAR;
use crate::settings::SettingError;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Probability out of tolerance beyond which an item is withdrawn rather than used.
const EVEN: f64 = 0.5;

crate::settings! {
    /// Least cost: what a calibration and a year out of tolerance cost, where the register has no figures.
    pub struct LeastCostSettings in "intervals.least_cost" {
        /// Cost of one calibration, in any one currency.
        cost: Option<f64> = None,
        /// Cost of one year out of tolerance, in the same currency.
        cost_out_of_tolerance: Option<f64> = None,
        /// Costs by group: [intervals.least_cost.group."NAME"] with cost and cost_out_of_tolerance.
        group: BTreeMap<String, Costs> = BTreeMap::new(),
    }
}

/// The two costs that decide, in one currency.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Costs {
    /// Of one calibration.
    pub cost: f64,
    /// Of one year out of tolerance.
    pub cost_out_of_tolerance: f64,
}

impl LeastCostSettings {
    /// The values that cannot be used.
    pub fn check(&self) -> Vec<SettingError> {
        let bad = |c: f64| !(c.is_finite() && c > 0.0);
        let mut errors = Vec::new();
        for (key, cost) in [
            ("cost", self.cost),
            ("cost_out_of_tolerance", self.cost_out_of_tolerance),
        ] {
            if cost.is_some_and(bad) {
                let message = "expected an amount above 0";
                errors.push(SettingError::new("intervals.least_cost", key, message));
            }
        }
        for (name, costs) in &self.group {
            if bad(costs.cost) || bad(costs.cost_out_of_tolerance) {
                let message = format!("both costs of group \"{name}\" must be amounts above 0");
                errors.push(SettingError::new("intervals.least_cost", "group", message));
            }
        }
        errors
    }

    /// Costs of one item: the register's, else its group's, else the table's.
    pub fn costs(&self, evidence: &Evidence<'_>) -> Option<Costs> {
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
pub struct LeastCost {
    /// Its settings.
    pub settings: LeastCostSettings,
}

/// One point of the cost curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CostPoint {
    /// Interval, days.
    pub days: f64,
    /// Expected cost per year, in the currency of the costs.
    pub cost_per_year: f64,
    /// Probability in tolerance at the end of the interval.
    pub probability: f64,
}

impl Method for LeastCost {
    fn name(&self) -> MethodName {
        MethodName::LeastCost
    }

    fn propose(&self, evidence: &Evidence<'_>, _group: &GroupEvidence) -> Proposal {
        let name = self.name();
        let Some(costs) = self.settings.costs(evidence) else {
            let because = "the costs of a calibration and of a year out of tolerance are not given";
            return Proposal::not_applicable(name, because);
        };
        let Some(tolerance) = evidence.tolerance else {
            return Proposal::not_applicable(name, "no tolerance was given");
        };
        let forecast = match Forecast::new(evidence) {
            Ok(forecast) => forecast,
            Err(because) => return Proposal::not_applicable(name, because),
        };
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
            "the expected cost per year is least, {}, at {}{edge}, where the probability in tolerance is {}",
            significant(best.cost_per_year, 3),
            days(best.days),
            percent(best.probability),
        );
        let basis = format!(
            "{}; a calibration costs {}, a year out of tolerance {}",
            super::drift_crossing::basis(evidence),
            significant(costs.cost, 4),
            significant(costs.cost_out_of_tolerance, 4)
        );
        let weight = f64::from(evidence.fit.readings);
        Proposal::of(name, best.days, weight, basis, reason)
    }
}

impl LeastCost {
    /// The cost curve from floor to cap for a chart, `points` long; empty where the method cannot run.
    pub fn curve(&self, evidence: &Evidence<'_>, points: usize) -> Vec<CostPoint> {
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
    pub fn price(&self, evidence: &Evidence<'_>, chosen: f64, other: f64) -> Option<String> {
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

/// One end of a panel: expected days out of tolerance up to it.
#[derive(Debug, Clone, Copy)]
struct Step {
    days: f64,
    out: f64,
    days_out: f64,
}

impl Step {
    fn point(self, costs: Costs) -> CostPoint {
        let paid = costs.cost + costs.cost_out_of_tolerance * self.days_out / DAYS_PER_YEAR;
        CostPoint {
            days: self.days,
            cost_per_year: paid * DAYS_PER_YEAR / self.days,
            probability: 1.0 - self.out,
        }
    }

    /// Adds the panel up to `days` by Simpson's rule.
    fn onward(self, days: f64, out: &mut impl FnMut(f64) -> f64) -> Self {
        let width = days - self.days;
        let (middle, end) = (out(self.days + 0.5 * width), out(days));
        Self {
            days,
            out: end,
            days_out: self.days_out + width / 6.0 * (self.out + 4.0 * middle + end),
        }
    }

    /// Falls through zero where the cost per year is least: C/K − [(1 − P)·h − ∫(1 − P)], days.
    fn slope(self, costs: Costs) -> f64 {
        let worth = costs.cost / costs.cost_out_of_tolerance * DAYS_PER_YEAR;
        worth - (self.out * self.days - self.days_out)
    }
}

/// Walks the panels from the start of the interval.
fn walk(ends: &[f64], mut probability: impl FnMut(f64) -> f64) -> impl Iterator<Item = Step> {
    let mut out = move |h: f64| 1.0 - probability(h);
    let mut here = Step {
        days: 0.0,
        out: out(0.0),
        days_out: 0.0,
    };
    ends.iter().map(move |&end| {
        here = here.onward(end, &mut out);
        here
    })
}

/// Cheapest interval between the first and the last of `ends` (days, ascending) in which
/// the item is at least as likely in tolerance as out; the first end where none is.
///
/// Without that bound an item that cannot be kept in tolerance would cost least when it
/// is never calibrated again: true of the formula, of no use to a laboratory.
fn minimum(costs: Costs, ends: &[f64], mut probability: impl FnMut(f64) -> f64) -> CostPoint {
    let mut steps: Vec<Step> = Vec::with_capacity(ends.len());
    for step in walk(ends, &mut probability) {
        steps.push(step);
        if step.out > EVEN {
            break;
        }
    }
    let price = |step: &Step| step.point(costs).cost_per_year;
    let Some(best) =
        (0..steps.len()).min_by(|a, b| price(&steps[*a]).total_cmp(&price(&steps[*b])))
    else {
        return CostPoint {
            days: f64::NAN,
            cost_per_year: f64::NAN,
            probability: f64::NAN,
        };
    };
    let mut out = |h: f64| 1.0 - probability(h);
    for from in [best.wrapping_sub(1), best] {
        let (Some(a), Some(b)) = (steps.get(from), steps.get(from.wrapping_add(1))) else {
            continue;
        };
        let (start, end) = (a.slope(costs), b.slope(costs));
        if start < 0.0 || end >= 0.0 {
            continue;
        }
        let days = refine((a.days, start), (b.days, end), |h| {
            a.onward(h, &mut out).slope(costs)
        });
        let step = a.onward(days, &mut out);
        if step.out <= EVEN && price(&step) <= price(&steps[best]) {
            return step.point(costs);
        }
    }
    let last_even = steps.len().wrapping_sub(2);
    match (steps[best].out > EVEN, steps.get(last_even)) {
        (true, Some(a)) => {
            let b = steps[best];
            let days = refine((a.days, EVEN - a.out), (b.days, EVEN - b.out), |h| {
                EVEN - out(h)
            });
            a.onward(days, &mut out).point(costs)
        }
        _ => steps[best].point(costs),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::{Known, Record, evidence};

    const COSTS: Costs = Costs {
        cost: 1.0,
        cost_out_of_tolerance: 12.0,
    };

    fn ends(floor: f64, cap: f64) -> Vec<f64> {
        let mut ends = vec![floor];
        ends.extend((1..=24).map(|j| floor + (cap - floor) * (f64::from(j) / 24.0).powi(2)));
        ends
    }

    /// Exponential 1 − P = 1 − exp(−λt): the optimum solves 1 − (1 + λh)·exp(−λh) = λC/K,
    /// solved here by Newton's method (closed form of the cost, derived for this test).
    #[test]
    fn the_optimum_of_an_exponential_is_exact() {
        let rate = 0.3 / DAYS_PER_YEAR;
        let wanted = 0.3 * COSTS.cost / COSTS.cost_out_of_tolerance;
        let mut x = (2.0 * wanted).sqrt();
        for _ in 0..50 {
            x -= (1.0 - (1.0 + x) * (-x).exp() - wanted) / (x * (-x).exp());
        }
        let mut calls = 0;
        let found = minimum(COSTS, &ends(30.0, 1826.0), |h| {
            calls += 1;
            (-rate * h).exp()
        });
        assert!(
            (found.days - x / rate).abs() < 0.1,
            "{} against {}",
            found.days,
            x / rate
        );
        assert!(calls <= 100, "{calls} evaluations");
    }

    #[test]
    fn a_cliff_and_the_edges_are_found() {
        let cliff = minimum(COSTS, &ends(30.0, 1826.0), |h| f64::from(h < 500.0));
        assert!((cliff.days - 500.0).abs() < 40.0, "{}", cliff.days);
        assert_eq!(minimum(COSTS, &ends(30.0, 1826.0), |_| 1.0).days, 1826.0);
        let hopeless = |h: f64| 1.0 - (h / 30.0).min(1.0);
        assert_eq!(minimum(COSTS, &ends(30.0, 1826.0), hopeless).days, 30.0);
        let even = minimum(COSTS, &ends(5.0, 1826.0), hopeless);
        assert!((even.days - 15.0).abs() < 0.02, "{}", even.days);
    }

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
        assert!((lowest.days - days).abs() < 20.0);
        let price = method.price(&evidence, days, 1500.0).unwrap();
        assert!(price.contains(" more than "), "{price}");
        assert!(
            best.reason
                .starts_with("the expected cost per year is least")
        );
    }

    #[test]
    fn without_costs_it_says_so() {
        let histories = Record::new().check(0.0, 0.0).histories();
        let fit = Known::default().fit(0.0, 1);
        let proposal =
            LeastCost::default().propose(&evidence(&histories, &fit), &GroupEvidence::default());
        assert!(proposal.reason.contains("the costs of a calibration"));
    }
}
