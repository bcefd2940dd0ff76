/*! The slope that single wild readings cannot move: Theil–Sen.

Sources: H. Theil (1950) and P. K. Sen, "Estimates of the regression coefficient
based on Kendall's tau", J. Amer. Statist. Assoc. 63 (1968) 1379–1389.
*/

use crate::drift::diagnostics::trend::tie_sums;
use crate::stats::{median, median_of_sorted, quantile};

/// Pairs grow with n²: above this many readings there is no Theil–Sen slope.
pub(crate) const MOST_READINGS: usize = 5000;

/// Median of all pairwise slopes with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct TheilSen {
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
pub(crate) fn theil_sen(x: &[f64], y: &[f64], level: f64) -> Option<TheilSen> {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::reference::{agrees, days_and_errors, json, number};

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

    #[test]
    fn degenerate_histories_have_no_slope() {
        assert!(theil_sen(&[1.0, 1.0], &[1.0, 2.0], 0.95).is_none());
    }
}
