/*! What an interval costs, for the chart of an item whose costs are given. */

use crate::decisions::DecisionTables;
use crate::decisions::policy::Decision;
use crate::intervals::{Evidence, LeastCost, MethodName, Proposal};
use crate::report::CostCurve;
use crate::report::text::as_sentence;

/// Points of the cost curve.
const CURVE_POINTS: usize = 60;

/// The curve of expected cost against the interval, and the price of other intervals in words.
#[derive(Debug, Clone, Default)]
pub(crate) struct Cost {
    pub curve: CostCurve,
    /// What today's interval and the reliability target's would cost against the decided one.
    pub prices: Vec<String>,
}

impl Cost {
    /// The cost of one item's interval; `None` where no costs are given or nothing is forecast.
    pub(crate) fn of(
        evidence: &Evidence<'_>,
        tables: &DecisionTables,
        decision: &Decision,
        proposals: &[Proposal],
    ) -> Option<Self> {
        let method = LeastCost {
            settings: tables.methods.least_cost.clone(),
        };
        let points = method.curve(evidence, CURVE_POINTS);
        let lowest = points
            .iter()
            .min_by(|a, b| a.cost_per_year.total_cmp(&b.cost_per_year))?;
        let by = |name| proposals.iter().find(|p| p.method == name)?.interval_days;
        let others = [
            Some(evidence.current_interval),
            by(MethodName::DriftCrossing),
        ];
        let different = |days: &f64| (days - decision.interval_days).abs() >= 1.0;
        let prices = others
            .into_iter()
            .flatten()
            .filter(different)
            .filter_map(|other| method.price(evidence, decision.interval_days, other))
            .map(|price| as_sentence(&price))
            .collect();
        Some(Self {
            curve: CostCurve {
                name: evidence.history.item.name(),
                currency: String::new(),
                points: points.iter().map(|p| (p.days, p.cost_per_year)).collect(),
                least: Some(by(MethodName::LeastCost).unwrap_or(lowest.days)),
                current: Some(evidence.current_interval),
            },
            prices,
        })
    }
}
