/*! Rates of going out of tolerance by group, age or any factor: a Poisson model.

ln(expected failures) = ln(years at risk) + intercept + effects of the factors.
linfa-linear's generalised linear model has no offset and no weights, so each cell is
given as pieces of equal exposure that share its failures evenly: the offset becomes a
constant and moves into the intercept, and the score equations are those of the whole
cell. (Its deviance at power exactly 1 does not match its gradient in version 0.8.1, so
the power is set a hair above.) Rounding to whole pieces is then taken out by Newton
steps with the true exposures, which also give the covariance.
Source: P. McCullagh and J. Nelder, Generalized Linear Models (1989), chapters 2 and 6.
*/

use crate::stats::{mean_limits, normal_quantile, p_value};
use linfa::Dataset;
use linfa::traits::Fit;
use linfa_linear::{Link, TweedieRegressor};
use nalgebra::{DMatrix, DVector};
use ndarray::{Array1, Array2};
use statrs::function::gamma::checked_gamma_ur;
use std::collections::BTreeMap;

/// One cell: a level of each factor, its years at risk and failures.
#[derive(Debug, Clone, PartialEq)]
pub struct RateCell {
    /// One level a factor.
    pub levels: Vec<String>,
    /// Years at risk, above 0.
    pub exposure_years: f64,
    /// Failures.
    pub failures: u64,
}

/// Rate of one level with exact limits.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelRate {
    /// Factor.
    pub factor: String,
    /// Level.
    pub level: String,
    /// Failures.
    pub failures: u64,
    /// Years at risk.
    pub exposure_years: f64,
    /// Failures per year.
    pub rate: f64,
    /// Exact two-sided limits of the rate.
    pub limits: (f64, f64),
}

/// Effect of one level against the first level of its factor.
#[derive(Debug, Clone, PartialEq)]
pub struct RateTerm {
    /// Factor; empty for the intercept.
    pub factor: String,
    /// Level; empty for the intercept.
    pub level: String,
    /// ln of the rate ratio; for the intercept ln of the rate per year.
    pub estimate: f64,
    /// Its standard error, enlarged where the counts scatter more than Poisson's.
    pub standard_error: f64,
}

/// The fitted model.
#[derive(Debug, Clone, PartialEq)]
pub struct RateModel {
    /// Intercept first, then the levels in order.
    pub terms: Vec<RateTerm>,
    /// Deviance of this model and of one common rate.
    pub deviance: f64,
    /// Deviance of one common rate for all cells.
    pub deviance_common: f64,
    /// Probability of such a difference where all rates are one.
    pub p_value: f64,
    /// Pearson's χ² over its degrees of freedom; `None` where none are left.
    pub dispersion: Option<f64>,
    /// Probability of such a dispersion where counts are Poisson's.
    pub dispersion_p_value: Option<f64>,
    /// Levels without failure (only an upper limit exists), too much scatter, and the like.
    pub notes: Vec<String>,
}

/// Rates with exact limits of every level of every factor, factors in order, levels sorted.
pub fn level_rates(factors: &[&str], cells: &[RateCell], level: f64) -> Vec<LevelRate> {
    let mut all = Vec::new();
    for (f, factor) in factors.iter().enumerate() {
        let mut sums: BTreeMap<&str, (u64, f64)> = BTreeMap::new();
        for cell in cells.iter().filter(|c| c.exposure_years > 0.0) {
            let sum = sums.entry(cell.levels[f].as_str()).or_default();
            *sum = (sum.0 + cell.failures, sum.1 + cell.exposure_years);
        }
        all.extend(sums.into_iter().map(|(name, (failures, years))| {
            let (low, high) = mean_limits(failures, level);
            LevelRate {
                factor: (*factor).into(),
                level: name.into(),
                failures,
                exposure_years: years,
                rate: failures as f64 / years,
                limits: (low / years, high / years),
            }
        }));
    }
    all
}

/// Fits the model to `cells`; every cell has one level a factor.
///
/// # Errors
/// In words, where there is no failure or the effects cannot be told apart.
pub fn fit_rates(factors: &[&str], cells: &[RateCell]) -> Result<RateModel, String> {
    let mut notes = Vec::new();
    let kept = with_failures(factors, cells, &mut notes);
    if kept.is_empty() {
        return Err("no failure in any cell: only upper limits of the rates exist".into());
    }
    let (design, mut terms) = design(factors, &kept);
    let counts = DVector::from_iterator(kept.len(), kept.iter().map(|c| c.failures as f64));
    let years = DVector::from_iterator(kept.len(), kept.iter().map(|c| c.exposure_years));
    let common = counts.sum() / years.sum();
    // Newton's method ends at the same place from one common rate; on many cells linfa's search
    // takes minutes to save it a few steps.
    let few = kept.len() <= MOST_CELLS_FOR_LINFA;
    let by_linfa = few.then(|| by_linfa(&design, &counts, &years)).flatten();
    let start = by_linfa.unwrap_or_else(|| {
        let mut start = DVector::zeros(design.ncols());
        start[0] = common.ln();
        start
    });
    let (effects, information) = newton(&design, &counts, &years, start).ok_or(
        "the effects cannot be told apart: some combination of levels never occurs with another",
    )?;
    let covariance = information
        .cholesky()
        .ok_or("the effects cannot be told apart: two factors always change together")?
        .inverse();
    let expected = expected(&design, &years, &effects);
    let freedom = kept.len() - design.ncols();
    let pearson: f64 = (counts.iter().zip(&expected))
        .map(|(y, m)| (y - m) * (y - m) / m)
        .sum();
    let dispersion = (freedom > 0).then(|| pearson / freedom as f64);
    let dispersion_p_value = (freedom > 0).then(|| tail(pearson, freedom));
    let scatter = match (dispersion, dispersion_p_value) {
        (Some(d), Some(p)) if p < DOUBTFUL => {
            notes.push(format!(
                "counts scatter {d:.2} times more than Poisson counts would ({}): items within a cell differ; standard errors are enlarged by {:.2}",
                p_value(p),
                d.sqrt()
            ));
            d.sqrt()
        }
        _ => 1.0,
    };
    for (j, term) in terms.iter_mut().enumerate() {
        term.estimate = effects[j];
        term.standard_error = covariance[(j, j)].sqrt() * scatter;
    }
    let deviance = deviance(&counts, &expected);
    let deviance_common = deviance_of_one_rate(&counts, &years, common);
    let effects_freedom = design.ncols() - 1;
    Ok(RateModel {
        p_value: match effects_freedom {
            0 => 1.0,
            k => tail((deviance_common - deviance) / (scatter * scatter), k),
        },
        terms,
        deviance,
        deviance_common,
        dispersion,
        dispersion_p_value,
        notes,
    })
}

/// Cells up to which linfa gives Newton's method its start.
const MOST_CELLS_FOR_LINFA: usize = 1_000;

/// A p-value below this is called a contradiction (common practice).
const DOUBTFUL: f64 = 0.05;

impl RateTerm {
    /// Rate ratio with its two-sided limits at confidence `level`.
    pub fn ratio(&self, level: f64) -> (f64, f64, f64) {
        let half = normal_quantile(0.5 + 0.5 * level) * self.standard_error;
        let at = |x: f64| (self.estimate + x).exp();
        (at(0.0), at(-half), at(half))
    }
}

/// Upper tail of χ².
fn tail(chi_squared: f64, freedom: usize) -> f64 {
    checked_gamma_ur(0.5 * freedom as f64, 0.5 * chi_squared.max(1e-300)).unwrap_or(f64::NAN)
}

/// Cells of levels that have a failure: the others' rates go to 0 and leave the fit.
fn with_failures(factors: &[&str], cells: &[RateCell], notes: &mut Vec<String>) -> Vec<RateCell> {
    let mut kept: Vec<RateCell> = cells
        .iter()
        .filter(|c| c.exposure_years > 0.0)
        .cloned()
        .collect();
    loop {
        let empty = (level_rates(factors, &kept, 0.95).into_iter()).find(|r| r.failures == 0);
        let Some(empty) = empty else {
            return if factors.is_empty() && kept.iter().all(|c| c.failures == 0) {
                Vec::new()
            } else {
                kept
            };
        };
        let index = factors
            .iter()
            .position(|f| **f == empty.factor)
            .unwrap_or(0);
        kept.retain(|c| c.levels[index] != empty.level);
        notes.push(format!(
            "{} {}: no failure in {:.1} years, rate at most {:.4} per year at 95 % (two-sided)",
            empty.factor, empty.level, empty.exposure_years, empty.limits.1
        ));
    }
}

/// Intercept and one column a level after the first of its factor.
fn design(factors: &[&str], cells: &[RateCell]) -> (DMatrix<f64>, Vec<RateTerm>) {
    let term = |factor: &str, level: &str| RateTerm {
        factor: factor.into(),
        level: level.into(),
        estimate: f64::NAN,
        standard_error: f64::NAN,
    };
    let mut terms = vec![term("", "")];
    let mut columns = vec![DVector::from_element(cells.len(), 1.0)];
    for (f, factor) in factors.iter().enumerate() {
        let mut levels: Vec<&str> = cells.iter().map(|c| c.levels[f].as_str()).collect();
        levels.sort_unstable();
        levels.dedup();
        for level in levels.into_iter().skip(1) {
            let is = cells
                .iter()
                .map(|c| f64::from(u8::from(c.levels[f] == level)));
            columns.push(DVector::from_iterator(cells.len(), is));
            terms.push(term(factor, level));
        }
    }
    (DMatrix::from_columns(&columns), terms)
}

/// Pieces of equal exposure over all cells: enough for three digits of the start.
const PIECES: f64 = 2_000.0;
/// Power of the variance: Poisson's 1, moved off the exact value (see the top).
const POWER: f64 = 1.000_01;

/// The effects by linfa on pieces of equal exposure; `None` where it fails.
fn by_linfa(
    design: &DMatrix<f64>,
    counts: &DVector<f64>,
    years: &DVector<f64>,
) -> Option<DVector<f64>> {
    let piece = years.sum() / PIECES;
    let pieces: Vec<usize> = years
        .iter()
        .map(|e| (e / piece).round().max(1.0) as usize)
        .collect();
    let rows: Vec<usize> = (pieces.iter().enumerate())
        .flat_map(|(cell, n)| std::iter::repeat_n(cell, *n))
        .collect();
    let x = Array2::from_shape_fn((rows.len(), design.ncols() - 1), |(i, j)| {
        design[(rows[i], j + 1)]
    });
    let y = Array1::from_shape_fn(rows.len(), |i| counts[rows[i]] / pieces[rows[i]] as f64);
    let model = TweedieRegressor::params()
        .power(POWER)
        .link(Link::Log)
        .alpha(0.0)
        .tol(1e-8)
        .max_iter(200)
        .fit(&Dataset::new(x, y))
        .ok()?;
    let mut effects = DVector::zeros(design.ncols());
    effects[0] = model.intercept - piece.ln();
    for (j, effect) in model.coef.iter().enumerate() {
        effects[j + 1] = *effect;
    }
    effects.iter().all(|e| e.is_finite()).then_some(effects)
}

fn expected(design: &DMatrix<f64>, years: &DVector<f64>, effects: &DVector<f64>) -> DVector<f64> {
    (design * effects).map(f64::exp).component_mul(years)
}

/// Newton's method on the Poisson likelihood with offset; the effects and their information.
fn newton(
    design: &DMatrix<f64>,
    counts: &DVector<f64>,
    years: &DVector<f64>,
    mut effects: DVector<f64>,
) -> Option<(DVector<f64>, DMatrix<f64>)> {
    for _ in 0..60 {
        let expected = expected(design, years, &effects);
        let weighted = DMatrix::from_fn(design.nrows(), design.ncols(), |i, j| {
            design[(i, j)] * expected[i]
        });
        let information = design.transpose() * weighted;
        let score = design.transpose() * (counts - &expected);
        let step = information.clone().cholesky()?.solve(&score);
        let longest = step.amax();
        if !longest.is_finite() {
            return None;
        }
        // A factor of e at most: far from the top the quadratic is not to be trusted.
        effects += &step * (1.0 / longest).min(1.0);
        if longest < 1e-12 {
            return Some((effects, information));
        }
    }
    None
}

fn deviance(counts: &DVector<f64>, expected: &DVector<f64>) -> f64 {
    let part = |(y, m): (&f64, &f64)| {
        let log = if *y > 0.0 { y * (y / m).ln() } else { 0.0 };
        2.0 * (log - (y - m))
    };
    counts.iter().zip(expected).map(part).sum()
}

fn deviance_of_one_rate(counts: &DVector<f64>, years: &DVector<f64>, rate: f64) -> f64 {
    deviance(counts, &(years * rate))
}

#[cfg(test)]
mod tests;
