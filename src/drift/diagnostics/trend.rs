/*! Tests for trend and for order among residuals: Mann–Kendall, Durbin–Watson, runs.

Sources: M. G. Kendall, Rank Correlation Methods (Griffin 1975), chapters 4 and 5;
J. Durbin and G. S. Watson, "Testing for serial correlation in least squares
regression III", Biometrika 58 (1971) 1–19; runs: NIST/SEMATECH e-Handbook 1.3.5.13.
*/

use crate::stats::normal_upper_two_sided;

/// Mann–Kendall test of a monotone trend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct MannKendall {
    /// Rising minus falling pairs.
    pub s: f64,
    /// Variance of S without trend, ties in both variables allowed for.
    pub variance: f64,
    /// Normal score with continuity correction.
    pub z: f64,
    /// Two-sided p.
    pub p: f64,
    /// Kendall's tau-b, −1 to 1.
    pub tau: f64,
}

/// Sums over groups of equal values that Kendall's variance needs.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct TieSums {
    /// Σ t(t − 1).
    pub pairs: f64,
    /// Σ t(t − 1)(t − 2).
    pub triples: f64,
    /// Σ t(t − 1)(2t + 5).
    pub cubic: f64,
}

pub(crate) fn tie_sums(values: &[f64]) -> TieSums {
    let sorted = crate::stats::sorted(values);
    let mut sums = TieSums::default();
    for group in sorted.chunk_by(|a, b| a == b) {
        let t = group.len() as f64;
        sums.pairs += t * (t - 1.0);
        sums.triples += t * (t - 1.0) * (t - 2.0);
        sums.cubic += t * (t - 1.0) * (2.0 * t + 5.0);
    }
    sums
}

/// Mann–Kendall test of `y` against `x`. `None` below three readings or where one of
/// them never changes.
pub(crate) fn mann_kendall(x: &[f64], y: &[f64]) -> Option<MannKendall> {
    let n = x.len();
    if n < 3 || n != y.len() {
        return None;
    }
    let sign = |d: f64| f64::from(d > 0.0) - f64::from(d < 0.0);
    let s = rising_minus_falling(x, y);
    let (tx, ty, n) = (tie_sums(x), tie_sums(y), n as f64);
    let variance = (n * (n - 1.0) * (2.0 * n + 5.0) - tx.cubic - ty.cubic) / 18.0
        + tx.triples * ty.triples / (9.0 * n * (n - 1.0) * (n - 2.0))
        + tx.pairs * ty.pairs / (2.0 * n * (n - 1.0));
    let pairs = n * (n - 1.0);
    let comparable = ((pairs - tx.pairs) * (pairs - ty.pairs)).sqrt();
    if variance <= 0.0 || comparable <= 0.0 {
        return None;
    }
    let z = (s - sign(s)) / variance.sqrt();
    Some(MannKendall {
        s,
        variance,
        z,
        p: normal_upper_two_sided(z),
        tau: 2.0 * s / comparable,
    })
}

/// Kendall's S in n·log n: the falling pairs are the exchanges by which a merge sort orders `y`
/// once `x` is in order (W. R. Knight, J. Amer. Statist. Assoc. 61 (1966) 436–439).
fn rising_minus_falling(x: &[f64], y: &[f64]) -> f64 {
    // Zero of either sign is one value.
    let mut pairs: Vec<(f64, f64)> = x.iter().zip(y).map(|(x, y)| (x + 0.0, y + 0.0)).collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let alike = pairs
        .chunk_by(|a, b| a == b)
        .map(|group| group.len() as f64);
    let alike: f64 = alike.map(|t| t * (t - 1.0)).sum();
    let mut order: Vec<f64> = pairs.into_iter().map(|(_, y)| y).collect();
    let falling = exchanges(&mut order, &mut Vec::with_capacity(x.len())) as f64;
    let n = x.len() as f64;
    let unequal = n * (n - 1.0) - tie_sums(x).pairs - tie_sums(y).pairs + alike;
    0.5 * unequal - 2.0 * falling
}

/// Sorts `values` by merging and counts the pairs that stood in falling order.
fn exchanges(values: &mut [f64], merged: &mut Vec<f64>) -> u64 {
    let half = values.len() / 2;
    if half == 0 {
        return 0;
    }
    let (low, high) = values.split_at_mut(half);
    let mut count = exchanges(low, merged) + exchanges(high, merged);
    merged.clear();
    let (mut i, mut j) = (0, 0);
    while i < low.len() && j < high.len() {
        if high[j] < low[i] {
            merged.push(high[j]);
            count += (low.len() - i) as u64;
            j += 1;
        } else {
            merged.push(low[i]);
            i += 1;
        }
    }
    merged.extend_from_slice(&low[i..]);
    merged.extend_from_slice(&high[j..]);
    values.copy_from_slice(merged);
    count
}

/// Durbin–Watson test of the residuals of a fit, in order of date.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct DurbinWatson {
    /// Σ(e_i − e_{i−1})²/Σe²: 2 for unrelated neighbours, towards 0 for alike ones.
    pub d: f64,
    /// Two-sided p by the exact mean and variance of d for the design of the fit and a normal tail.
    pub p: f64,
    /// True where the dates are near evenly spaced (gaps within a factor of two); on
    /// uneven dates d compares neighbours whatever the time between them.
    pub evenly_spaced: bool,
}

/// One of the orthonormal columns that span a fit's whitened design; zero outside its readings.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Direction {
    /// First reading of which it says something.
    pub from: usize,
    /// Its entries from there on.
    pub values: Vec<f64>,
}

/// Durbin–Watson of the (whitened) residuals of a fit whose design is spanned by `directions`.
/// `None` with fewer than three degrees of freedom or zero residuals.
pub(crate) fn durbin_watson(
    x: &[f64],
    residuals: &[f64],
    directions: &[Direction],
) -> Option<DurbinWatson> {
    let squares: f64 = residuals.iter().map(|e| e * e).sum();
    if x.len() != residuals.len() || !squares.is_finite() || squares <= 0.0 {
        return None;
    }
    let steps: f64 = residuals.windows(2).map(|e| (e[1] - e[0]).powi(2)).sum();
    let d = steps / squares;
    let (mean, variance) = moments_of_d(x.len(), directions)?;
    let gaps = || x.windows(2).map(|x| x[1] - x[0]);
    let (least, most) = (
        gaps().fold(f64::INFINITY, f64::min),
        gaps().fold(0.0, f64::max),
    );
    Some(DurbinWatson {
        d,
        p: normal_upper_two_sided((d - mean) / variance.sqrt()),
        evenly_spaced: most <= 2.0 * least,
    })
}

/// Exact mean and variance of d for any design with orthonormal columns Q, M = I − QQᵀ and
/// A = DᵀD with first differences D (Durbin and Watson 1971):
/// E = tr(MA)/(n − p), V = 2[tr((MA)²) − E·tr(MA)]/((n − p)(n − p + 2)), where
/// tr(MA) = tr A − Σ qᵀAq and tr((MA)²) = tr A² − 2 Σ|Aq|² + Σ(qᵀAq')².
fn moments_of_d(n: usize, directions: &[Direction]) -> Option<(f64, f64)> {
    const LEAST_FREEDOM: usize = 3;
    let freedom = n.checked_sub(directions.len())?;
    if freedom < LEAST_FREEDOM {
        return None;
    }
    let (size, freedom) = (n as f64, freedom as f64);
    // A is tridiagonal with 1, 2 … 2, 1 and −1: tr A = 2(n − 1), tr A² = 6n − 8.
    let (mut trace, mut trace_of_square) = (2.0 * (size - 1.0), 6.0 * size - 8.0);
    let at = by_reading(n, directions);
    let mut products = vec![0.0; directions.len()];
    for (j, direction) in directions.iter().enumerate() {
        let mut touched = Vec::new();
        for (i, image) in direction.image(n) {
            trace_of_square -= 2.0 * image * image;
            for (k, entry) in &at[i] {
                if products[*k] == 0.0 {
                    touched.push(*k);
                }
                products[*k] += entry * image;
            }
        }
        trace -= products[j];
        for k in touched {
            trace_of_square += std::mem::take(&mut products[k]).powi(2);
        }
    }
    let expected = trace / freedom;
    let variance = 2.0 * (trace_of_square - expected * trace) / (freedom * (freedom + 2.0));
    (variance > 0.0).then_some((expected, variance))
}

/// Of each reading the directions that say something of it, with their entries.
fn by_reading(n: usize, directions: &[Direction]) -> Vec<Vec<(usize, f64)>> {
    let mut at = vec![Vec::new(); n];
    for (j, direction) in directions.iter().enumerate() {
        for (i, value) in direction.values.iter().enumerate() {
            at[direction.from + i].push((j, *value));
        }
    }
    at
}

impl Direction {
    /// Makes it orthogonal to another of length one.
    pub(crate) fn subtract_share_of(&mut self, other: &Direction) {
        let start = self.from.max(other.from);
        let end = (self.from + self.values.len()).min(other.from + other.values.len());
        if end <= start {
            return;
        }
        let own = &mut self.values[start - self.from..end - self.from];
        let along = &other.values[start - other.from..end - other.from];
        let share: f64 = along.iter().zip(own.iter()).map(|(a, b)| a * b).sum();
        own.iter_mut().zip(along).for_each(|(v, a)| *v -= share * a);
    }

    /// A times the direction, by reading; zero elsewhere.
    fn image(&self, n: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let end = self.from + self.values.len();
        let entry = move |i: usize| {
            let inside = i >= self.from && i < end;
            if inside {
                self.values[i - self.from]
            } else {
                0.0
            }
        };
        (self.from.saturating_sub(1)..(end + 1).min(n)).map(move |i| {
            let before = if i > 0 { entry(i) - entry(i - 1) } else { 0.0 };
            let after = if i + 1 < n {
                entry(i) - entry(i + 1)
            } else {
                0.0
            };
            (i, before + after)
        })
    }
}

/// Wald–Wolfowitz runs of signs about zero: (runs, expected, two-sided p with continuity
/// correction). `None` with fewer than two values on either side.
pub(crate) fn runs(residuals: &[f64]) -> Option<(usize, f64, f64)> {
    let signs: Vec<bool> = residuals
        .iter()
        .filter(|e| **e != 0.0)
        .map(|e| *e > 0.0)
        .collect();
    let above = signs.iter().filter(|s| **s).count() as f64;
    let below = signs.len() as f64 - above;
    if above < 2.0 || below < 2.0 {
        return None;
    }
    let runs = signs.chunk_by(|a, b| a == b).count();
    let (n, product) = (above + below, 2.0 * above * below);
    let expected = product / n + 1.0;
    let variance = product * (product - n) / (n * n * (n - 1.0));
    let distance = ((runs as f64 - expected).abs() - 0.5).max(0.0);
    Some((
        runs,
        expected,
        normal_upper_two_sided(distance / variance.sqrt()),
    ))
}

#[cfg(test)]
#[path = "trend_tests.rs"]
mod tests;
