/*! Borrowed drift for straight lines: the drifts of one class share a distribution, while
every level is the item's own.

```text
y = level + drift·t + e,   drift ~ N(μ, τ²),   Var e = σ²/weight,   every level free
```

With the levels eliminated an item is three sums: S = Σw(t − t̄)², P = Σw(t − t̄)(y − ȳ) and
Q = Σw(y − ȳ)². At a ratio λ = τ²/σ² the restricted likelihood (H. D. Patterson and R. Thompson,
Biometrika 58 (1971) 545–554) has μ and σ² in closed form, so that λ is the only search. It is
not searched but integrated, on a grid in its logarithm, with a prior uniform in τ (A. Gelman,
Bayesian Analysis 1 (2006) 515–534), since a small class knows its τ badly.

The level of an item says nothing of its drift here: an adjustment sets the level, and a
correlation found among a few items would be taken for knowledge.
*/

use super::lines::LineSums;
use crate::drift::class::rates::Rates;
use crate::drift::state::estimate::StateEstimate;
use crate::drift::state::forecast::StateForecast;
use serde::{Deserialize, Serialize};

/// Points of the grid in ln λ, and their distance.
const POINTS: usize = 37;
const STEP: f64 = 0.5;
/// The grid begins this far below the reciprocal of the median S.
const BELOW: f64 = 8.0;
/// Items that show a drift, without which nothing is known of how drifts differ.
const FEWEST_ITEMS: usize = 3;

/// One ratio with what follows from it.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
struct Point {
    weight: f64,
    /// τ²/σ².
    ratio: f64,
    /// σ², variance of a reading of weight one.
    variance: f64,
    /// μ and its variance.
    mean: f64,
    mean_variance: f64,
}

/// What the lines of a class share.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PooledDrift {
    points: Vec<Point>,
    /// Degrees of freedom on which σ² rests, over all items.
    pub freedom: f64,
    /// Items whose readings entered.
    pub items: u32,
    /// True where weights are 1/u².
    pub u_stated: bool,
}

/// One item's line after partial pooling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct PooledLine {
    /// Drift, and its variance.
    pub drift: f64,
    /// Variance of the drift, that of the class's mean included.
    pub drift_variance: f64,
    /// Share of what is known of the drift that is the item's own, 0 to 1.
    pub shrinkage_weight: f64,
    /// Variance σ² of a reading of weight one.
    pub variance: f64,
}

/// The sums of an item with its levels eliminated.
#[derive(Clone, Copy)]
struct Slope {
    spread: f64,
    product: f64,
    square: f64,
    freedom: f64,
}

impl Slope {
    fn of(item: &LineSums) -> Self {
        let [w, wt, wtt] = item.moments;
        let [wy, wty] = item.products;
        Self {
            spread: (wtt - wt * wt / w).max(0.0),
            product: wty - wt * wy / w,
            square: (item.square - wy * wy / w).max(0.0),
            freedom: f64::from(item.count) - 1.0,
        }
    }

    /// True where the dates differ by more than rounding.
    fn shows_drift(&self, item: &LineSums) -> bool {
        self.spread > 1e-12 * item.moments[2] && self.spread.is_finite()
    }
}

/// Estimates what the drifts of a class share; `None` where fewer than three items show a
/// drift, where no reading is left over to show scatter, or where there is none.
pub(crate) fn pool_drifts(items: &[LineSums]) -> Option<PooledDrift> {
    let slopes: Vec<Slope> = items
        .iter()
        .map(|item| (Slope::of(item), item))
        .filter(|(slope, item)| slope.shows_drift(item))
        .map(|(slope, _)| slope)
        .collect();
    let freedom: f64 = slopes.iter().map(|slope| slope.freedom).sum::<f64>() - 1.0;
    let left_over = slopes.iter().any(|slope| slope.freedom > 1.0);
    if slopes.len() < FEWEST_ITEMS || !left_over {
        return None;
    }
    let spreads: Vec<f64> = slopes.iter().map(|slope| slope.spread).collect();
    let from = -crate::stats::median(&spreads).ln() - BELOW;
    let mut logs = [0.0; POINTS];
    let mut points = [Point::default(); POINTS];
    for (i, point) in points.iter_mut().enumerate() {
        let log_ratio = from + STEP * i as f64;
        let (found, likelihood) = at_ratio(&slopes, log_ratio.exp(), freedom)?;
        *point = found;
        // Uniform in τ is √λ in ln λ.
        logs[i] = likelihood + 0.5 * log_ratio;
    }
    let largest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let total: f64 = logs.iter().map(|log| (log - largest).exp()).sum();
    for (point, log) in points.iter_mut().zip(logs) {
        point.weight = (log - largest).exp() / total;
    }
    let sound = total.is_finite() && points.iter().all(|point| point.variance.is_finite());
    sound.then_some(PooledDrift {
        points: points.to_vec(),
        freedom,
        items: items.len() as u32,
        u_stated: items.iter().all(|item| item.u_stated),
    })
}

/// μ and σ² at one ratio, and the restricted log likelihood there; `None` without scatter.
fn at_ratio(slopes: &[Slope], ratio: f64, freedom: f64) -> Option<(Point, f64)> {
    let (mut information, mut pull, mut squares, mut logarithms) = (0.0, 0.0, 0.0, 0.0);
    for slope in slopes {
        let whole = 1.0 + ratio * slope.spread;
        logarithms += whole.ln();
        information += slope.spread / whole;
        pull += slope.product / whole;
        squares += slope.square - ratio * slope.product * slope.product / whole;
    }
    let mean = pull / information;
    let variance = (squares - pull * mean) / freedom;
    let likelihood = -0.5 * (logarithms + information.ln() + freedom * variance.ln());
    let point = Point {
        weight: 0.0,
        ratio,
        variance,
        mean,
        mean_variance: variance / information,
    };
    (likelihood.is_finite() && variance > 0.0).then_some((point, likelihood))
}

impl PooledDrift {
    /// Mean of the drifts of the class.
    pub(crate) fn mean(&self) -> f64 {
        self.points.iter().map(|p| p.weight * p.mean).sum()
    }

    /// Variance of the drifts of the class about their mean.
    pub(crate) fn variance(&self) -> f64 {
        let each = self.points.iter();
        each.map(|p| p.weight * p.ratio * p.variance).sum()
    }

    /// The drift of one item; with one reading, or readings of one date, it is the class's.
    pub(crate) fn line_of(&self, item: &LineSums) -> PooledLine {
        let slope = Slope::of(item);
        let known = if slope.shows_drift(item) {
            (slope.spread, slope.product)
        } else {
            (0.0, 0.0)
        };
        let (mut drift, mut square, mut within) = (0.0, 0.0, 0.0);
        let (mut before, mut after, mut variance) = (0.0, 0.0, 0.0);
        for point in &self.points {
            let whole = 1.0 + point.ratio * known.0;
            let own = (point.mean + point.ratio * known.1) / whole;
            let conditional = point.ratio * point.variance / whole;
            drift += point.weight * own;
            square += point.weight * own * own;
            within += point.weight * (conditional + point.mean_variance / (whole * whole));
            before += point.weight * point.ratio * point.variance;
            after += point.weight * conditional;
            variance += point.weight * point.variance;
        }
        PooledLine {
            drift,
            drift_variance: within + (square - drift * drift).max(0.0),
            shrinkage_weight: (1.0 - after / before).clamp(0.0, 1.0),
            variance,
        }
    }

    /// The same as a forecast from the item's last reading.
    pub(crate) fn forecast(&self, item: &LineSums) -> StateForecast {
        let line = self.line_of(item);
        let [weight, along, _] = item.moments;
        let (middle, level) = (along / weight, item.products[0] / weight);
        let time = item.last - item.origin - middle;
        StateForecast {
            origin: item.last,
            estimate: StateEstimate {
                error: level + time * line.drift,
                drift: line.drift,
                error_variance: line.variance / weight + time * time * line.drift_variance,
                covariance: time * line.drift_variance,
                drift_variance: line.drift_variance,
            },
            rates: Rates::default(),
            noise: line.variance * f64::from(item.current.max(1)) / weight,
            step_rate: 0.0,
            step_time: f64::INFINITY,
            most_steps: 0.0,
            u_common: 0.0,
            degrees_of_freedom: self.freedom.floor(),
        }
    }
}

#[cfg(test)]
#[path = "pooled_drift_tests.rs"]
mod tests;
