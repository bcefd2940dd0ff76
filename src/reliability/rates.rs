/*! Rates of going out of tolerance by group, age or any factor: a Poisson model.

ln(expected failures) = ln(years at risk) + intercept + effects of the factors.
The effects are found in [`super::rates_fit`].
Source: P. McCullagh and J. Nelder, Generalized Linear Models (1989), chapters 2 and 6.
*/

use super::rates_fit::{deviance, newton, rates};
use super::why_not::WhyNot;
use crate::stats::{mean_limits, p_value};
use nalgebra::{DMatrix, DVector};
use statrs::function::gamma::checked_gamma_ur;
use std::collections::BTreeMap;

/// One cell: a level of each factor, its years at risk and failures.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct RateCell {
    /// One level a factor.
    pub levels: Vec<String>,
    /// Years at risk, above 0.
    pub exposure_years: f64,
    pub failures: u64,
}

/// Rate of one level with exact limits.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LevelRate {
    pub factor: String,
    pub level: String,
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
pub(crate) struct RateTerm {
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
pub(crate) struct RateModel {
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
pub(crate) fn level_rates(factors: &[&str], cells: &[RateCell], level: f64) -> Vec<LevelRate> {
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
/// Where there is no failure or the effects cannot be told apart.
pub(crate) fn fit_rates(factors: &[&str], cells: &[RateCell]) -> Result<RateModel, WhyNot> {
    let mut notes = Vec::new();
    let joined = with_failures(factors, joined(cells), &mut notes);
    if joined.is_empty() {
        return Err(WhyNot::NoFailureInCells);
    }
    let (design, mut terms) = design(factors, &joined);
    let counts = DVector::from_iterator(joined.len(), joined.iter().map(|c| c.failures as f64));
    let years = DVector::from_iterator(joined.len(), joined.iter().map(|c| c.exposure_years));
    let common = counts.sum() / years.sum();
    let mut start = DVector::zeros(design.ncols());
    start[0] = common.ln();
    let (effects, information) = newton(&design, &counts, &years, start).ok_or(WhyNot::Apart)?;
    let covariance = information.cholesky().ok_or(WhyNot::Together)?.inverse();
    let (counts, years, rates) = apart(cells, &joined, &rates(&design, &effects));
    let expected = years.component_mul(&rates);
    let freedom = counts.len() - design.ncols();
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
    let deviance_common = deviance(&counts, &(years * common));
    let deviance = deviance(&counts, &expected);
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

/// A p-value below this is called a contradiction (common practice).
const DOUBTFUL: f64 = 0.05;

/// Upper tail of χ².
fn tail(chi_squared: f64, freedom: usize) -> f64 {
    checked_gamma_ur(0.5 * freedom as f64, 0.5 * chi_squared.max(1e-300)).unwrap_or(f64::NAN)
}

/// Cells with the same levels as one: their sums are all that the likelihood knows of them.
fn joined(cells: &[RateCell]) -> Vec<RateCell> {
    let mut sums: BTreeMap<&[String], (f64, u64)> = BTreeMap::new();
    for cell in cells.iter().filter(|c| c.exposure_years > 0.0) {
        let sum = sums.entry(&cell.levels).or_default();
        *sum = (sum.0 + cell.exposure_years, sum.1 + cell.failures);
    }
    let cell = |(levels, (exposure_years, failures)): (&[String], (f64, u64))| RateCell {
        levels: levels.to_vec(),
        exposure_years,
        failures,
    };
    sums.into_iter().map(cell).collect()
}

/// Failures, years at risk and the fitted rate of every cell that went into `joined`.
fn apart(
    cells: &[RateCell],
    joined: &[RateCell],
    rates: &DVector<f64>,
) -> (DVector<f64>, DVector<f64>, DVector<f64>) {
    let rates: BTreeMap<&[String], f64> = joined
        .iter()
        .map(|cell| cell.levels.as_slice())
        .zip(rates.iter().copied())
        .collect();
    let seen = cells.iter().filter(|c| c.exposure_years > 0.0);
    let rated: Vec<(&RateCell, f64)> = seen
        .filter_map(|cell| Some((cell, *rates.get(cell.levels.as_slice())?)))
        .collect();
    let column = |of: fn(&(&RateCell, f64)) -> f64| {
        DVector::from_iterator(rated.len(), rated.iter().map(of))
    };
    (
        column(|(cell, _)| cell.failures as f64),
        column(|(cell, _)| cell.exposure_years),
        column(|(_, rate)| *rate),
    )
}

/// Cells of levels that have a failure: the others' rates go to 0 and leave the fit.
fn with_failures(
    factors: &[&str],
    mut kept: Vec<RateCell>,
    notes: &mut Vec<String>,
) -> Vec<RateCell> {
    let whole = level_rates(factors, &kept, 0.95);
    loop {
        let left = level_rates(factors, &kept, 0.95);
        let empty = left.into_iter().find(|r| r.failures == 0);
        // What left the fit had no failure either: the level's own figures are those of all cells.
        let same = |known: &&LevelRate, empty: &LevelRate| {
            (&known.factor, &known.level) == (&empty.factor, &empty.level)
        };
        let empty = empty.and_then(|empty| whole.iter().find(|known| same(known, &empty)));
        let Some(empty) = empty else {
            return if factors.is_empty() && kept.iter().all(|c| c.failures == 0) {
                Vec::new()
            } else {
                kept
            };
        };
        let index = factors
            .iter()
            .position(|factor| *factor == empty.factor)
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

#[cfg(test)]
mod tests;
