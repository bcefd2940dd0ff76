/*! The forecast of the wander model with its variances integrated out.

A single history knows its wander and its noise badly, and a forecast that takes their
likeliest values for exact has bands that are too narrow. Here the restricted likelihood
weighs many pairs of them; the forecast has the mean and the variance of the mixture.

- q is the wander variance of a typical gap over the variance of a reading. √q has a half-Cauchy
  prior (A. Gelman, Bayesian Analysis 1 (2006) 515–534): flat towards no wander, and giving way
  to any wander that the data show. Its scale is one where u is not stated, three where it is.
- Without stated u the variance of a reading is integrated in closed form (prior 1/σ²), which
  leaves Student's t with n − p degrees of freedom; its variance is that of the normal
  distribution with the same 95 % band.
- With stated u there may be excess scatter e; √e/u has a half-Cauchy prior of scale one tenth.

The scales are those with which the bands hold best over wander from 0.25 to 2 u per √gap and excess
from 0 to u (docs/methods-drift.md): a smaller one for the wander lets a dozen readings take wander
for noise, a larger one for the excess lets excess take the place of wander.

The nodes are quantiles of the priors, so that each stands for the same share of belief; where
the data single out a few of them, the grid is laid anew over those.
*/

use super::likelihood::{Likelihood, Pass, Point, Units, pass, points};
use super::model::{WanderFit, estimate};
use crate::drift::class::rates::Rates;
use crate::drift::series::next_u::next_u;
use crate::drift::series::readings::Reading;
use crate::drift::state::estimate::StateEstimate;
use crate::drift::state::forecast::StateForecast;
use crate::stats::{median, quantile};
use std::f64::consts::FRAC_PI_2;

/// Nodes for the wander and, where u is stated, for the excess.
const WANDERS: usize = 14;
const EXCESSES: usize = 7;
/// Scale of the prior of √(excess)/u.
const EXCESS_SCALE: f64 = 0.1;
/// Scale of the prior of √q where u is stated, and where it is not.
const WANDER_SCALES: (f64, f64) = (3.0, 1.0);
/// A node below this share of the likeliest says nothing.
const SILENT: f64 = 1e-3;
/// The grid is laid anew while fewer nodes of an axis than this speak, so often at the most.
const SPEAKERS: usize = 5;
const REFINEMENTS: usize = 8;
/// Probability at which Student's t and the normal band are matched: that of a 95 % band.
const MATCHED_AT: f64 = 0.975;
const NORMAL: f64 = 1.959_963_984_540_054;

/// Forecast of `fit` with its variances integrated out; `None` where some readings state u and
/// others do not, or where the likelihood cannot be computed: the plain forecast then stands.
pub fn mixed_forecast(readings: &[Reading], fit: &WanderFit) -> Option<StateForecast> {
    let silent_u = readings.iter().all(|reading| reading.u.is_nan());
    if !(fit.u_stated || silent_u) {
        return None;
    }
    let units = Units::of(readings)?;
    let points = points(readings, &units);
    let grid = Grid::of(&points, fit.u_stated)?;
    let nodes = grid.refined();
    mixture(&nodes, &units, fit, readings)
}

/// Range of prior probability that an axis covers.
type Range = (f64, f64);

/// What the nodes are laid over.
struct Grid<'a> {
    points: &'a [Point],
    /// Variance of a typical reading and typical gap, scaled units.
    noise: f64,
    gap: f64,
    u_stated: bool,
}

/// One pair of variances with its weight and what follows from it.
struct Node {
    log_weight: f64,
    wander: f64,
    excess: f64,
    /// Factor on the variances of the pass.
    factor: f64,
    pass: Pass<f64>,
    place: (usize, usize),
}

impl<'a> Grid<'a> {
    fn of(points: &'a [Point], u_stated: bool) -> Option<Self> {
        let gaps: Vec<f64> = points
            .windows(2)
            .filter(|pair| pair[0].segment == pair[1].segment)
            .map(|pair| pair[1].time - pair[0].time)
            .collect();
        let gap = gaps.iter().sum::<f64>() / gaps.len() as f64;
        let noise = if u_stated {
            median(&points.iter().map(|p| p.noise).collect::<Vec<_>>())
        } else {
            1.0
        };
        let usable = gap > 0.0 && noise > 0.0 && noise.is_finite();
        usable.then_some(Self {
            points,
            noise,
            gap,
            u_stated,
        })
    }

    /// Nodes over the whole prior, and over the part that the data single out.
    fn refined(&self) -> Vec<Node> {
        let (mut wander, mut excess) = ((0.0, 1.0), (0.0, 1.0));
        let mut nodes = self.laid(wander, excess);
        for _ in 0..REFINEMENTS {
            let (narrowed_wander, few_wander) =
                spoken(&nodes, |node| node.place.0, WANDERS, wander);
            let (narrowed_excess, few_excess) =
                spoken(&nodes, |node| node.place.1, self.excesses(), excess);
            if !(few_wander || few_excess) {
                break;
            }
            (wander, excess) = (narrowed_wander, narrowed_excess);
            nodes = self.laid(wander, excess);
        }
        nodes
    }

    fn excesses(&self) -> usize {
        if self.u_stated { EXCESSES } else { 1 }
    }

    fn laid(&self, wander: Range, excess: Range) -> Vec<Node> {
        let (m, n) = (WANDERS, self.excesses());
        let mut nodes = Vec::with_capacity(m * n);
        let scale = if self.u_stated {
            WANDER_SCALES.0
        } else {
            WANDER_SCALES.1
        };
        for i in 0..m {
            let q = (scale * half_cauchy(place(i, m, wander))).powi(2);
            for j in 0..n {
                let e = if self.u_stated {
                    (EXCESS_SCALE * half_cauchy(place(j, n, excess))).powi(2) * self.noise
                } else {
                    1.0
                };
                nodes.push(self.node(q * self.noise / self.gap, e, (i, j)));
            }
        }
        nodes
    }

    fn node(&self, wander: f64, excess: f64, place: (usize, usize)) -> Node {
        let pass = pass::<f64>(self.points, wander, excess, Likelihood::Restricted);
        let (mut log_weight, mut factor) = (pass.log_likelihood, 1.0);
        if !self.u_stated {
            let freedom = self.points.len() as f64 - f64::from(pass.parameters);
            log_weight += 0.5 * pass.chi_squared - 0.5 * freedom * pass.chi_squared.ln();
            factor = pass.chi_squared / freedom * (quantile(MATCHED_AT, freedom) / NORMAL).powi(2);
        }
        Node {
            log_weight: if log_weight.is_nan() {
                f64::NEG_INFINITY
            } else {
                log_weight
            },
            wander,
            excess,
            factor,
            pass,
            place,
        }
    }
}

/// Prior probability of node `i` of `m` in `range`.
fn place(i: usize, m: usize, range: Range) -> f64 {
    range.0 + (range.1 - range.0) * (i as f64 + 0.5) / m as f64
}

fn half_cauchy(probability: f64) -> f64 {
    (FRAC_PI_2 * probability).tan()
}

/// The part of `range` whose nodes speak, one node wider, and whether too few of them do.
fn spoken(nodes: &[Node], axis: impl Fn(&Node) -> usize, m: usize, range: Range) -> (Range, bool) {
    let largest = nodes
        .iter()
        .map(|node| node.log_weight)
        .fold(f64::NEG_INFINITY, f64::max);
    let speaks = |node: &&Node| node.log_weight > largest + SILENT.ln();
    let speaking = || nodes.iter().filter(speaks).map(&axis);
    let (low, high) = (
        speaking().min().unwrap_or(0),
        speaking().max().unwrap_or(m - 1),
    );
    let few = m > 1 && high + 1 - low < SPEAKERS;
    let edge = |k: f64| range.0 + (range.1 - range.0) * (k / m as f64).clamp(0.0, 1.0);
    ((edge(low as f64 - 1.0), edge(high as f64 + 2.0)), few)
}

/// Mean and variance of the mixture, in the history's unit.
fn mixture(
    nodes: &[Node],
    units: &Units,
    fit: &WanderFit,
    readings: &[Reading],
) -> Option<StateForecast> {
    let largest = nodes
        .iter()
        .map(|node| node.log_weight)
        .fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = nodes
        .iter()
        .map(|node| (node.log_weight - largest).exp())
        .collect();
    let total: f64 = weights.iter().sum();
    let heard = nodes.iter().zip(&weights);
    let heard = heard.filter(|(_, weight)| **weight > SILENT * SILENT);
    let estimates: Vec<(f64, StateEstimate, &Node)> = heard
        .map(|(node, weight)| (weight / total, estimate(&node.pass, units), node))
        .collect();
    let mean = |get: &dyn Fn(&StateEstimate, &Node) -> f64| -> f64 {
        let each = estimates.iter().map(|(w, b, node)| w * get(b, node));
        each.sum()
    };
    let (error, drift) = (mean(&|b, _| b.error), mean(&|b, _| b.drift));
    let square = units.scale * units.scale;
    let next = next_u(readings);
    let stated = if fit.u_stated { next * next } else { 0.0 };
    let wander = mean(&|_, n| n.factor * n.wander) * square / units.span;
    let excess = mean(&|_, n| n.factor * n.excess) * square;
    let estimate = StateEstimate {
        error,
        drift,
        error_variance: mean(&|b, n| n.factor * b.error_variance + (b.error - error).powi(2)),
        covariance: mean(&|b, n| n.factor * b.covariance + (b.error - error) * (b.drift - drift)),
        drift_variance: mean(&|b, n| n.factor * b.drift_variance + (b.drift - drift).powi(2)),
    };
    let variances = [
        estimate.error_variance,
        estimate.drift_variance,
        wander,
        excess,
    ];
    let sound = variances.iter().all(|value| value.is_finite());
    sound.then_some(StateForecast {
        estimate,
        rates: Rates {
            wander,
            excess,
            ..Rates::default()
        },
        noise: stated + excess,
        ..fit.forecast
    })
}

#[cfg(test)]
#[path = "wander_mixture_tests.rs"]
mod tests;
