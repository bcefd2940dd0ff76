/*! Slopes that single wild readings cannot move: Theil–Sen and Huber.

Sources: H. Theil (1950) and P. K. Sen, "Estimates of the regression coefficient
based on Kendall's tau", J. Amer. Statist. Assoc. 63 (1968) 1379–1389; P. J. Huber,
Robust Statistics (Wiley 1981), sections 7.5 to 7.8.
*/

use super::trend::tie_sums;
use crate::stats::{median, median_of_sorted, quantile};

/// Pairs grow with n²: above this many readings there is no Theil–Sen slope.
pub const MOST_READINGS: usize = 5000;

/// Median of all pairwise slopes with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TheilSen {
    /// Median slope, unit per unit of x.
    pub slope: f64,
    /// Median of y minus slope times median of x.
    pub intercept: f64,
    /// Lower end of Sen's interval.
    pub lower: f64,
    /// Upper end of Sen's interval.
    pub upper: f64,
}

/// Theil–Sen slope with Sen's interval at `level`, ties in x and y allowed for; pairs of
/// equal x are left out. `None` with fewer than two different x or too many readings.
pub fn theil_sen(x: &[f64], y: &[f64], level: f64) -> Option<TheilSen> {
    let n = x.len();
    if n > MOST_READINGS || n != y.len() {
        return None;
    }
    let mut slopes = Vec::with_capacity(n * n.saturating_sub(1) / 2);
    for i in 0..n {
        let pairs = (i + 1..n).filter(|j| x[*j] != x[i]);
        slopes.extend(pairs.map(|j| (y[j] - y[i]) / (x[j] - x[i])));
    }
    if slopes.is_empty() || slopes.iter().any(|s| s.is_nan()) {
        return None;
    }
    let size = n as f64;
    let ties = tie_sums(x).cubic + tie_sums(y).cubic;
    let variance = (size * (size - 1.0) * (2.0 * size + 5.0) - ties) / 18.0;
    let reach = quantile(0.5 + 0.5 * level, f64::INFINITY) * variance.max(0.0).sqrt();
    let count = slopes.len() as f64;
    let last = slopes.len() - 1;
    let rank = |value: f64| (value.max(0.0) as usize).min(last);
    let low = rank(((count - reach) / 2.0).round_ties_even() - 1.0);
    let high = rank(((count + reach) / 2.0).round_ties_even());
    // Selecting the few ranks that count is several times faster than sorting all pairs.
    let mut at = |rank: usize| *slopes.select_nth_unstable_by(rank, f64::total_cmp).1;
    let slope = median_of_sorted(&[at(last / 2), at(last.div_ceil(2))]);
    Some(TheilSen {
        slope,
        intercept: median(y) - slope * median(x),
        lower: at(low),
        upper: at(high),
    })
}

/// Straight line by Huber's M-estimate.
#[derive(Debug, Clone, PartialEq)]
pub struct Huber {
    /// Value at x = 0.
    pub intercept: f64,
    /// Slope, unit per unit of x.
    pub slope: f64,
    /// Standard errors of intercept and slope (Huber 1981, 7.6.5).
    pub standard_errors: (f64, f64),
    /// Robust scale of the residuals: median of |r| over that of a normal distribution.
    pub scale: f64,
    /// Weight of each reading, 1 for those that look normal.
    pub weights: Vec<f64>,
    /// False where the iteration did not settle.
    pub converged: bool,
}

/// Efficiency 95 % for normal readings (Huber 1981).
pub const HUBER_95: f64 = 1.345;

/// Huber's M-estimate with bound `k` standard deviations, scale re-estimated each step.
/// `None` with fewer than three readings, equal x, or zero scatter in half of them.
pub fn huber(x: &[f64], y: &[f64], k: f64) -> Option<Huber> {
    const MOST_STEPS: usize = 2000;
    const CLOSE: f64 = 1e-14;
    /// Median of |z| for a standard normal z.
    const NORMAL_MEDIAN: f64 = 0.674_489_750_196_081_7;
    let n = x.len();
    if n < 3 || n != y.len() {
        return None;
    }
    let mut weights = vec![1.0; n];
    let mut line = WeightedLine::fit(x, y, &weights)?;
    let mut scale = f64::NAN;
    let mut converged = false;
    for _ in 0..MOST_STEPS {
        let residuals: Vec<f64> = line.residuals(x, y).collect();
        let sizes: Vec<f64> = residuals.iter().map(|r| r.abs()).collect();
        scale = median(&sizes) / NORMAL_MEDIAN;
        if !scale.is_finite() || scale <= 0.0 {
            return None;
        }
        for (weight, size) in weights.iter_mut().zip(&sizes) {
            *weight = (k * scale / size).min(1.0);
        }
        let next = WeightedLine::fit(x, y, &weights)?;
        let moved = (next.level - line.level).abs() / scale
            + ((next.slope - line.slope) * next.spread.sqrt() / scale).abs();
        line = next;
        if moved <= CLOSE * n as f64 {
            converged = true;
            break;
        }
    }
    Some(describe(x, y, k, line, scale, weights, converged))
}

fn describe(
    x: &[f64],
    y: &[f64],
    k: f64,
    line: WeightedLine,
    scale: f64,
    weights: Vec<f64>,
    converged: bool,
) -> Huber {
    let n = x.len() as f64;
    let scaled: Vec<f64> = line.residuals(x, y).map(|r| r / scale).collect();
    let inside = scaled.iter().filter(|r| r.abs() <= k).count() as f64 / n;
    let squares: f64 = scaled.iter().map(|r| r.clamp(-k, k).powi(2)).sum();
    // Two coefficients; ψ′ is 0 or 1, so its variance is inside·(1 − inside).
    let correction = 1.0 + 2.0 / n * (1.0 - inside) / inside;
    let variance = (correction * scale / inside).powi(2) * squares / (n - 2.0);
    let mean = x.iter().map(|x| x / n).sum::<f64>();
    let spread: f64 = x.iter().map(|x| (x - mean).powi(2)).sum();
    Huber {
        intercept: line.level - line.slope * line.mean,
        slope: line.slope,
        standard_errors: (
            (variance * (1.0 / n + mean * mean / spread)).sqrt(),
            (variance / spread).sqrt(),
        ),
        scale,
        weights,
        converged,
    }
}

struct WeightedLine {
    mean: f64,
    level: f64,
    slope: f64,
    spread: f64,
}

impl WeightedLine {
    fn fit(x: &[f64], y: &[f64], weights: &[f64]) -> Option<Self> {
        let total: f64 = weights.iter().sum();
        // Means about the first reading keep the digits of values far from zero.
        let mean = |values: &[f64]| {
            let shifted = values.iter().zip(weights).map(|(v, w)| w * (v - values[0]));
            values[0] + shifted.sum::<f64>() / total
        };
        let (mx, my) = (mean(x), mean(y));
        let (mut spread, mut shared) = (0.0, 0.0);
        for ((x, y), w) in x.iter().zip(y).zip(weights) {
            spread += w * (x - mx) * (x - mx);
            shared += w * (x - mx) * (y - my);
        }
        let slope = shared / spread;
        slope.is_finite().then_some(WeightedLine {
            mean: mx,
            level: my,
            slope,
            spread,
        })
    }

    fn residuals<'a>(&self, x: &'a [f64], y: &'a [f64]) -> impl Iterator<Item = f64> + 'a {
        let (mean, level, slope) = (self.mean, self.level, self.slope);
        x.iter()
            .zip(y)
            .map(move |(x, y)| y - level - slope * (x - mean))
    }
}

#[cfg(test)]
mod tests {
    use super::super::reference::{agrees, days_and_errors, json, number, numbers};
    use super::*;

    const CASES: [(&str, &str); 5] = [
        ("outliers15", "trend"),
        ("ties40", "trend"),
        ("autocorrelated60", "trend"),
        ("standard_resistor_checks", "handbook"),
        ("mass_checks", "handbook"),
    ];

    /// scipy and R on synthetic and real histories.
    #[test]
    fn theil_sen_slopes() {
        for (name, folder) in CASES {
            let (x, y) = days_and_errors(&format!("{folder}/{name}.csv"));
            let results = &json(&format!("trend/{name}_py.json"))["results"];
            for (key, level) in [("theil_sen_95", 0.95), ("theil_sen_90", 0.90)] {
                let found = theil_sen(&x, &y, level).unwrap();
                agrees(name, found.slope, number(&results[key]["slope"]), 11.0);
                agrees(
                    name,
                    found.intercept,
                    number(&results[key]["intercept"]),
                    11.0,
                );
                agrees(name, found.lower, number(&results[key]["lower"]), 11.0);
                agrees(name, found.upper, number(&results[key]["upper"]), 11.0);
            }
        }
    }

    /// statsmodels RLM, exact normal constant.
    #[test]
    fn huber_lines() {
        for (name, folder) in CASES {
            let (x, y) = days_and_errors(&format!("{folder}/{name}.csv"));
            let results = &json(&format!("trend/{name}_py.json"))["results"];
            for (key, k) in [("huber_1.345", HUBER_95), ("huber_2.0", 2.0)] {
                let found = huber(&x, &y, k).unwrap();
                assert!(found.converged);
                let reference = &results[key];
                let coefficients = numbers(&reference["coefficients"]);
                let errors = numbers(&reference["standard_errors_h1"]);
                agrees(name, found.intercept, coefficients[0], 9.0);
                agrees(name, found.slope, coefficients[1], 9.0);
                agrees(name, found.scale, number(&reference["scale"]), 9.0);
                agrees(name, found.standard_errors.0, errors[0], 9.0);
                agrees(name, found.standard_errors.1, errors[1], 9.0);
            }
        }
    }

    #[test]
    fn degenerate_histories_have_no_slope() {
        assert!(theil_sen(&[1.0, 1.0], &[1.0, 2.0], 0.95).is_none());
        assert!(huber(&[1.0, 2.0, 3.0], &[5.0; 3], HUBER_95).is_none());
    }
}
