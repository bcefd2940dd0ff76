/*! Expected cost per year of an interval, and the interval at which it is least.

See [`crate::intervals::LeastCost`] for the formula. The days out of tolerance are summed
by Simpson's rule over panels that widen along the interval.
*/

use crate::intervals::search::refine;
use crate::records::DAYS_PER_YEAR;
use serde::{Deserialize, Serialize};

/// Probability out of tolerance beyond which an item is withdrawn rather than used.
const EVEN: f64 = 0.5;

/// The two costs that decide, in one currency.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Costs {
    /// Of one calibration.
    pub cost: f64,
    /// Of one year out of tolerance.
    pub cost_out_of_tolerance: f64,
}

/// One point of the cost curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct CostPoint {
    /// Interval, days.
    pub days: f64,
    /// Expected cost per year, in the currency of the costs.
    pub cost_per_year: f64,
    /// Probability in tolerance at the end of the interval.
    pub probability: f64,
}

/// One end of a panel: expected days out of tolerance up to it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Step {
    days: f64,
    out: f64,
    days_out: f64,
}

impl Step {
    pub(crate) fn point(self, costs: Costs) -> CostPoint {
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
pub(crate) fn walk(
    ends: &[f64],
    mut probability: impl FnMut(f64) -> f64,
) -> impl Iterator<Item = Step> {
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
pub(crate) fn minimum(
    costs: Costs,
    ends: &[f64],
    mut probability: impl FnMut(f64) -> f64,
) -> CostPoint {
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
        near!(found.days, x / rate, 0.1);
        assert!(calls <= 100, "{calls} evaluations");
    }

    #[test]
    fn a_cliff_and_the_edges_are_found() {
        let cliff = minimum(COSTS, &ends(30.0, 1826.0), |h| f64::from(h < 500.0));
        near!(cliff.days, 500.0, 40.0);
        assert_eq!(minimum(COSTS, &ends(30.0, 1826.0), |_| 1.0).days, 1826.0);
        let hopeless = |h: f64| 1.0 - (h / 30.0).min(1.0);
        assert_eq!(minimum(COSTS, &ends(30.0, 1826.0), hopeless).days, 30.0);
        let even = minimum(COSTS, &ends(5.0, 1826.0), hopeless);
        near!(even.days, 15.0, 0.02);
    }
}
