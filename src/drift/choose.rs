/*! Model = "auto": the best supported model by AICc, or the average where none clearly wins.

All candidates see the same readings. `AICc = −2 ln L + 2k·n/(n − k − 1)` with k the number of
coefficients and variances (N. Sugiura 1978; C. M. Hurvich and C.-L. Tsai, Biometrika 76
(1989) 297–307); weights ∝ exp(−Δ/2), averages with the spread between models (K. P.
Burnham and D. R. Anderson, Model Selection and Multimodel Inference, Springer 2002,
2.9 and 4.3).
*/

use super::excess::{Estimator, excess};
use super::fit::{Choice, Fit, ModelName, Motion};
use super::history_fit::{MoreModels, fit_readings};
use super::{Axis, DriftSettings, Prediction, Reading};
use crate::stats::DoubleDouble;
use std::f64::consts::TAU;

/// A model with its likelihood on the readings.
#[derive(Debug, Clone)]
pub struct Candidate {
    /// The fit.
    pub fit: Fit,
    /// Natural logarithm of the maximised likelihood.
    pub log_likelihood: f64,
    /// Coefficients and variances estimated; a figure shared with others counts in part.
    pub parameters: f64,
}

/// One model stands alone from this weight on; below it the forecasts are averaged.
/// Burnham and Anderson (2002), 2.9.
const CLEAR_WEIGHT: f64 = 0.9;

/// Models below this weight do not enter the average.
const LEAST_WEIGHT: f64 = 0.01;

/// The regression models and the fewest readings at which each may compete.
const OWN: [(ModelName, usize); 4] = [
    (ModelName::Constant, 4),
    (ModelName::Line, 5),
    (ModelName::Quadratic, 7),
    (ModelName::Season, 10),
];

/// Chooses among constant, line, quadratic, season and `more` (wander, and state where there
/// is a class).
pub fn best(
    readings: &[Reading],
    u_common: f64,
    settings: &DriftSettings,
    more: MoreModels<'_>,
) -> Fit {
    let enough = |least: usize| readings.len() >= least;
    let timely = |model| {
        let years = readings.last().map_or(0.0, |r| r.x) - readings.first().map_or(0.0, |r| r.x);
        model != ModelName::Season || settings.axis == Axis::Time && years >= 2.0
    };
    let mut candidates: Vec<Candidate> = OWN
        .iter()
        .filter(|(model, least)| enough(*least) && timely(*model))
        .filter_map(|(model, _)| candidate(readings, u_common, settings, *model))
        .collect();
    candidates.extend(more.iter().filter_map(|fit| fit(readings)));
    let n = readings.len() as f64;
    let mut ranked: Vec<(f64, Fit)> = candidates
        .into_iter()
        .filter(|c| !matches!(c.fit.motion, Motion::None))
        .map(|c| {
            (
                corrected_criterion(c.log_likelihood, c.parameters, n),
                c.fit,
            )
        })
        .filter(|(criterion, _)| criterion.is_finite())
        .collect();
    ranked.sort_by(|a, b| a.0.total_cmp(&b.0));
    if ranked.is_empty() {
        let mut fit = fit_readings(readings, u_common, settings, ModelName::Line);
        fit.notes.push(format!(
            "{} readings cannot decide between models; the straight line is used",
            readings.len()
        ));
        return fit;
    }
    settle(weigh(ranked))
}

/// AICc; infinite where the readings are too few for the correction.
pub fn corrected_criterion(log_likelihood: f64, parameters: f64, n: f64) -> f64 {
    let k = parameters;
    if n <= k + 1.0 {
        return f64::INFINITY;
    }
    2.0 * k * n / (n - k - 1.0) - 2.0 * log_likelihood
}

fn weigh(ranked: Vec<(f64, Fit)>) -> Vec<(f64, Fit)> {
    let least = ranked[0].0;
    let raw: Vec<f64> = ranked
        .iter()
        .map(|(c, _)| (-0.5 * (c - least)).exp())
        .collect();
    let total: f64 = raw.iter().sum();
    let fits = ranked.into_iter().map(|(_, fit)| fit);
    raw.iter().map(|w| w / total).zip(fits).collect()
}

fn settle(weighted: Vec<(f64, Fit)>) -> Fit {
    let listed: Vec<String> = weighted
        .iter()
        .map(|(weight, fit)| format!("{} {weight:.2}", fit.model.word()))
        .collect();
    let alone = weighted.len() == 1 || weighted[0].0 >= CLEAR_WEIGHT;
    let mut fit = weighted[0].1.clone();
    fit.notes.push(format!(
        "support by AICc: {}; {}",
        listed.join(", "),
        if alone {
            "the first is used"
        } else {
            "the forecast is their average"
        }
    ));
    fit.choice = Some(Choice {
        weight: weighted[0].0,
        runner_up: weighted.get(1).map(|(weight, fit)| (fit.model, *weight)),
        averaged: !alone,
    });
    if alone {
        return fit;
    }
    let mut kept: Vec<(f64, Fit)> = weighted
        .into_iter()
        .filter(|(weight, _)| *weight >= LEAST_WEIGHT)
        .collect();
    let total: f64 = kept.iter().map(|(weight, _)| weight).sum();
    kept.iter_mut().for_each(|(weight, _)| *weight /= total);
    let mean = |value: &dyn Fn(&Fit) -> f64| kept.iter().map(|(w, f)| w * value(f)).sum::<f64>();
    let drift = mean(&|f| f.drift_per_year);
    let variance = mean(&|f| f.u_drift_per_year.powi(2) + (f.drift_per_year - drift).powi(2));
    fit.drift_per_year = drift;
    fit.u_drift_per_year = variance.sqrt();
    fit.motion = Motion::Average(kept);
    fit
}

/// Average of forecasts: the spread between models adds to the uncertainty.
pub fn average(parts: &[(f64, Option<Prediction>)]) -> Option<Prediction> {
    let parts: Vec<(f64, Prediction)> = parts
        .iter()
        .map(|(w, p)| p.map(|p| (*w, p)))
        .collect::<Option<_>>()?;
    let mean =
        |value: &dyn Fn(&Prediction) -> f64| parts.iter().map(|(w, p)| w * value(p)).sum::<f64>();
    let expected = mean(&|p| p.expected);
    let between = mean(&|p| (p.expected - expected).powi(2));
    Some(Prediction {
        expected,
        u_error: (mean(&|p| p.u_error.powi(2)) + between).sqrt(),
        u_reading: (mean(&|p| p.u_reading.powi(2)) + between).sqrt(),
        degrees_of_freedom: 1.0 / mean(&|p| 1.0 / p.degrees_of_freedom),
        no_step: mean(&|p| p.no_step),
    })
}

/// One of the regression models with its maximised likelihood.
fn candidate(
    readings: &[Reading],
    u_common: f64,
    settings: &DriftSettings,
    model: ModelName,
) -> Option<Candidate> {
    let fit = fit_readings(readings, u_common, settings, model);
    let (log_likelihood, coefficients) = likelihood(readings, model)?;
    Some(Candidate {
        fit,
        log_likelihood,
        parameters: f64::from(coefficients + 1),
    })
}

/// Gaussian likelihood at its maximum: over σ² where u is unknown, over τ² where known.
fn likelihood(readings: &[Reading], model: ModelName) -> Option<(f64, u32)> {
    use super::design::{Shape, design};
    let shape = Shape {
        degree: match model {
            ModelName::Constant => 0,
            ModelName::Quadratic => 2,
            _ => 1,
        },
        season: model == ModelName::Season,
        intercept: true,
    };
    let columns = design(readings, shape).ok()?;
    let n = readings.len() as f64;
    let values: Vec<DoubleDouble> = readings.iter().map(|r| r.value.into()).collect();
    let u: Vec<f64> = readings.iter().map(|r| r.u).collect();
    let p = columns.len() as u32;
    if u.iter().all(|u| u.is_finite() && *u > 0.0) {
        let found = excess(&columns, &values, &u, Estimator::MaximumLikelihood).ok()?;
        let spread: f64 = u
            .iter()
            .map(|u| (TAU * (u * u + found.variance)).ln())
            .sum();
        return Some((-0.5 * (spread + found.solution.sum_of_squares.nearest()), p));
    }
    let solved =
        super::least_squares::solve(&columns, &values, super::least_squares::Noise::Unknown)
            .ok()?;
    let variance = solved.sum_of_squares.nearest() / n;
    Some((-0.5 * n * ((TAU * variance).ln() + 1.0), p))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// R's `logLik`, `AIC` of the line and the quadratic of h0012 (fits/h0012_r.json):
    /// log L = −32.523056767410623 and −31.903782115533502.
    #[test]
    fn likelihood_agrees_with_r() {
        let (x, y) = super::super::reference::days_and_errors("fits/h0012.csv");
        let readings: Vec<Reading> = x
            .iter()
            .zip(&y)
            .map(|(x, y)| Reading {
                x: *x,
                value: *y,
                u: f64::NAN,
                segment: 0,
                drift_segment: 0,
                check: 0,
                as_left: false,
            })
            .collect();
        let (line, p) = likelihood(&readings, ModelName::Line).unwrap();
        let (parabola, _) = likelihood(&readings, ModelName::Quadratic).unwrap();
        assert!((line + 32.523_056_767_410_62).abs() < 1e-11 && p == 2);
        assert!((parabola + 31.903_782_115_533_502).abs() < 1e-11);
        // R's AIC 71.046113534821245 plus the correction 2k(k + 1)/(n − k − 1) = 3.
        assert!((corrected_criterion(line, 3.0, 12.0) - 74.046_113_534_821_25).abs() < 1e-11);
    }
}
