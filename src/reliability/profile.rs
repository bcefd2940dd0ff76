/*! Limits by profile likelihood, for the interval at target and for R(t).

All parameters but one are free; that one, the time scale, is set so that the
interval at `target` is exactly the tried time. A parameter that the fit settled at an end of its
range is free too: another interval may well be likeliest with it inside. Where the best ln L under this
condition has dropped by half the χ² quantile with one degree of freedom, there
is the limit. Reference: D. Venzon and S. Moolgavkar, Applied Statistics 37
(1988) 87–94. The delta-method limits beside it are for the quick look.
*/

use super::fit::{LifeFit, Maximisation};
use super::likelihood::{LifeData, Scratch};
use super::models::{LifeModel, MOST_PARAMETERS, rescaled};
use super::optimum::highest;
use super::target::TargetKind;
use crate::stats::{normal_quantile, root_within};

/// Limits of an interval in years.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct IntervalLimits {
    /// Lower limit, two-sided; 0 where the records allow any short interval.
    pub lower: f64,
    /// Upper limit, two-sided; infinite where the records do not bound it.
    pub upper: f64,
    /// One-sided lower limit at the same level.
    pub one_sided_lower: f64,
}

/// Times beyond this factor of the estimate count as 0 or unbounded.
const FARTHEST: f64 = 1e6;

/// The likelihood of one fit under conditions "the interval at r is t".
pub(crate) struct Profile<'a> {
    fit: &'a LifeFit,
    model: &'static dyn LifeModel,
    kind: TargetKind,
    /// What is climbed: with the parameters held that the fit holds and, where it holds any, without.
    climbs: Vec<Climb<'a>>,
    /// Index of the parameter that carries the time scale.
    scale: Option<usize>,
    scratch: Scratch,
    /// The parameters that met the last condition.
    reached: Vec<f64>,
}

/// Some parameters free, and where the last condition was met: a good start for the next.
struct Climb<'a> {
    maximisation: Maximisation<'a>,
    last: Option<Vec<f64>>,
}

/// Limits of R at one time, with the parameters of the curves that go through them.
pub(super) struct LimitCurves {
    pub lower: f64,
    pub upper: f64,
    /// Curves as likely as the limits are; fewer than two where a side is unbounded.
    pub through: Vec<Vec<f64>>,
}

impl<'a> Profile<'a> {
    /// Profiles `fit`, made from `data`, for targets of `kind`.
    pub(crate) fn new(fit: &'a LifeFit, data: &'a LifeData, kind: TargetKind) -> Self {
        let model = fit.name.model();
        let parameters = model.parameters();
        let scale = (0..parameters.len()).find(|j| parameters[*j].per_time != 0 && !fit.fixed[*j]);
        let mut held = vec![fit.fixed.clone(), vec![false; parameters.len()]];
        held.dedup();
        let climb = |mut held: Vec<bool>| {
            if let Some(j) = scale {
                held[j] = true;
            }
            Climb {
                maximisation: Maximisation::new(data, fit.name, &held),
                last: None,
            }
        };
        Self {
            fit,
            model,
            kind,
            climbs: held.into_iter().map(climb).collect(),
            scale,
            scratch: Scratch::default(),
            reached: Vec::new(),
        }
    }

    /// Begins at the fit again.
    fn begin(&mut self) {
        for climb in &mut self.climbs {
            let free = &climb.maximisation.free;
            let inside = free.iter().all(|j| self.fit.theta[*j] > 0.0);
            climb.last = inside.then(|| self.fit.theta.clone());
        }
    }

    /// Limits of the interval at `target` at confidence `level`; `None` where the fit
    /// gives no finite interval.
    pub(crate) fn interval_limits(&mut self, target: f64, level: f64) -> Option<IntervalLimits> {
        let estimate = self.kind.interval(self.model, &self.fit.theta, target);
        if self.scale.is_none() || !(estimate > 0.0 && estimate.is_finite()) {
            return None;
        }
        let two_sided = normal_quantile(0.5 + 0.5 * level);
        // The delta method says about where to look.
        let slopes = self
            .kind
            .ln_interval_gradient(self.model, &self.fit.theta, estimate);
        let step = spread(self.fit, &slopes).unwrap_or(0.3).clamp(1e-4, 1.0);
        let mut end = |z: f64, direction: f64| {
            self.begin();
            let drop = 0.5 * z * z;
            let reach = |x: f64| estimate * (direction * x).exp();
            let excess = |x: f64| self.best(reach(x), target) - self.fit.ln_likelihood + drop;
            match outward(step * z.max(0.1), FARTHEST.ln(), excess) {
                Some(x) => reach(x),
                None if direction > 0.0 => f64::INFINITY,
                None => 0.0,
            }
        };
        Some(IntervalLimits {
            lower: end(two_sided, -1.0),
            upper: end(two_sided, 1.0),
            one_sided_lower: end(normal_quantile(level), -1.0),
        })
    }

    /// As `Self::reliability_limits`, with the curves through the limits.
    pub(super) fn limit_curves(&mut self, t: f64, level: f64) -> LimitCurves {
        let mut limits = LimitCurves {
            lower: 0.0,
            upper: 1.0,
            through: Vec::new(),
        };
        let mut slopes = [0.0; MOST_PARAMETERS];
        let ln_r = self.model.ln_reliability(t, &self.fit.theta, &mut slopes);
        if self.scale.is_none() || !(ln_r < 0.0 && ln_r.is_finite() && t > 0.0) {
            return limits;
        }
        let z = normal_quantile(0.5 + 0.5 * level);
        let centre = (-ln_r).ln();
        let error = spread(self.fit, &slopes.map(|s| s / ln_r));
        let step = error.unwrap_or(0.3).clamp(1e-4, 2.0);
        let mut end = |direction: f64| {
            self.begin();
            let reach = |x: f64| (-(centre + direction * x).exp()).exp();
            let excess = |x: f64| self.best(t, reach(x)) - self.fit.ln_likelihood + 0.5 * z * z;
            let limit = outward(step * z, 40.0, excess).map(reach)?;
            if self.best(t, limit).is_finite() {
                limits.through.push(self.reached.clone());
            }
            Some(limit)
        };
        let (lower, upper) = (end(1.0), end(-1.0));
        limits.lower = lower.unwrap_or(0.0);
        limits.upper = upper.unwrap_or(1.0);
        limits
    }

    /// Best ln L where the interval at `r` is `t`; −∞ where no parameters allow it.
    fn best(&mut self, t: f64, r: f64) -> f64 {
        if self.scale.is_none() {
            return f64::NEG_INFINITY;
        }
        let mut best: Option<(f64, Vec<f64>)> = None;
        for way in 0..self.climbs.len() {
            let higher = |climbed: &(f64, Vec<f64>)| best.as_ref().is_none_or(|b| climbed.0 > b.0);
            if let Some(climbed) = self.climb(way, t, r).filter(higher) {
                best = Some(climbed);
            }
        }
        let Some((value, reached)) = best else {
            return f64::NEG_INFINITY;
        };
        self.reached = reached;
        value
    }

    /// Best ln L of one way to climb, with its parameters; `None` where none allow the condition.
    fn climb(&mut self, way: usize, t: f64, r: f64) -> Option<(f64, Vec<f64>)> {
        let shapes = self.model.shapes().iter();
        let shapes = shapes.map(|shape| self.shaped(shape, &self.climbs[way].maximisation.free));
        let starts: Vec<Vec<f64>> = self.climbs[way]
            .last
            .iter()
            .cloned()
            .chain(shapes)
            .collect();
        let mut climbed = starts
            .into_iter()
            .filter_map(|start| self.best_from(way, start, t, r));
        // A shape that cannot meet the condition at all is no reason that another cannot. From the
        // end of a range no slope leads inside, so that every start is tried there.
        let best = match way {
            0 => climbed.next(),
            _ => climbed.max_by(|a, b| a.0.total_cmp(&b.0)),
        }?;
        // Keep the shape but the scale of the fit, so that bounds stay meaningful.
        self.climbs[way].last = Some(self.on_own_scale(&best.1));
        Some(best)
    }

    /// The fit with the `free` parameters of another shape on its own time scale.
    fn shaped(&self, shape: &[f64], free: &[usize]) -> Vec<f64> {
        let shape = self.on_own_scale(shape);
        let mut theta = self.fit.theta.clone();
        free.iter().for_each(|j| theta[*j] = shape[*j]);
        theta
    }

    /// `theta` stretched in time so that the parameter that carries the scale is the fit's.
    fn on_own_scale(&self, theta: &[f64]) -> Vec<f64> {
        let Some(scale) = self.scale else {
            return theta.to_vec();
        };
        let factor = self.fit.theta[scale] / theta[scale];
        let power = f64::from(self.model.parameters()[scale].per_time);
        rescaled(self.model, theta, factor.powf(1.0 / power))
    }

    /// The climb from one start; `None` where it cannot meet the condition.
    fn best_from(
        &mut self,
        way: usize,
        mut theta: Vec<f64>,
        t: f64,
        r: f64,
    ) -> Option<(f64, Vec<f64>)> {
        let (model, kind) = (self.model, self.kind);
        let maximisation = &self.climbs[way].maximisation;
        let scratch = &mut self.scratch;
        let start: Vec<f64> = maximisation.free.iter().map(|j| theta[*j].ln()).collect();
        let mut reached = Vec::new();
        let mut condition = |point: &[f64], gradient: &mut [f64]| {
            for (x, j) in point.iter().zip(&maximisation.free) {
                theta[*j] = x.exp();
            }
            let own = kind.interval(model, &theta, r);
            if !(own > 0.0 && own.is_finite()) {
                return f64::NEG_INFINITY;
            }
            reached = rescaled(model, &theta, own / t);
            let mut slopes = [0.0; MOST_PARAMETERS];
            let n = theta.len();
            let value = maximisation
                .data
                .ln_likelihood(model, &reached, &mut slopes[..n], scratch);
            let by_scale: f64 = (model.parameters().iter().zip(&reached).zip(&slopes))
                .filter(|((p, _), _)| p.per_time != 0)
                .map(|((p, value), slope)| f64::from(p.per_time) * value * slope)
                .sum();
            let moves = kind.ln_interval_gradient(model, &theta, own);
            for (g, j) in gradient.iter_mut().zip(&maximisation.free) {
                *g = slopes[*j] * reached[*j] + by_scale * moves[*j] * theta[*j];
            }
            value
        };
        let (point, value) = highest(&start, &maximisation.bounds, &mut condition)?;
        condition(&point, &mut vec![0.0; start.len()]);
        Some((value, reached))
    }
}

/// Relative precision of a limit: far below its meaning.
const LIMIT_PRECISION: f64 = 1e-8;

/// Distance at which a function that is positive at 0 first turns negative.
fn outward(step: f64, farthest: f64, mut excess: impl FnMut(f64) -> f64) -> Option<f64> {
    let (mut inner, mut outer) = (0.0, step);
    while excess(outer) > 0.0 {
        inner = outer;
        outer *= 1.5;
        if inner > farthest {
            return None;
        }
    }
    root_within(inner, outer, LIMIT_PRECISION, |x| excess(x).max(-1e6))
}

/// Standard error of a quantity with slopes ∂/∂θ, from the covariance of ln θ.
fn spread(fit: &LifeFit, slopes: &[f64; MOST_PARAMETERS]) -> Option<f64> {
    let covariance = fit.covariance.as_ref()?;
    let scaled = |j: usize| {
        if fit.fixed[j] {
            0.0
        } else {
            slopes[j] * fit.theta[j]
        }
    };
    let n = fit.theta.len();
    let pairs = (0..n).flat_map(|i| (0..n).map(move |j| (i, j)));
    let variance: f64 = pairs
        .map(|(i, j)| scaled(i) * covariance[(i, j)] * scaled(j))
        .sum();
    (variance >= 0.0).then(|| variance.sqrt())
}

#[cfg(test)]
mod tests;
