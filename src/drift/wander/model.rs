/*! The wander model of one long history: random walk with fixed drift under reading noise.

The wander variance and the reading noise (or its excess beyond stated u) maximise the
restricted or full likelihood of [`super::likelihood`] by Newton's method on
exact derivatives in the logarithms of both. A variance that the likelihood sends to
zero is set to zero and the other found alone. Level and drift then are generalised
least squares; the plain forecast has their uncertainty and the wander since. What the
variances themselves are not known to adds [`super::mixture::mixed_forecast`].
*/

use super::jet::{Jet, Real, Slope};
use super::likelihood::{Likelihood, Pass, Point, Units, pass, points};
use crate::drift::class::rates::Rates;
use crate::drift::series::next_u::next_u;
use crate::drift::series::readings::Reading;
use crate::drift::state::estimate::StateEstimate;
use crate::drift::state::forecast::StateForecast;
use std::cmp::Ordering;

/// Newton steps before the search gives up; ten are usual.
const STEPS: usize = 100;
/// Longest step in a log variance.
const LONGEST: f64 = 2.0;
/// Gain in log likelihood that its own rounding hides: in a short history, and in units of the
/// smallest difference times readings^1.5, by which the rounding of so many terms may grow.
const ROUNDING: f64 = 1e-9;
const ROUNDING_OF_TERMS: f64 = 16.0;
/// Newton steps that the slope alone can judge, at the end of a search; two are usual.
const LAST_STEPS: usize = 4;
/// Log variance (of the squared largest change) below which each of both is first tried alone.
const LOW: f64 = -9.0;
/// Log variance of a noise of none where u is not stated.
const NONE: f64 = -25.0;
/// Parts of the mean squared change between neighbours that noise and wander are started from.
const SPLITS: [(f64, f64); 5] = [
    (0.4, 0.2),
    (0.1, 0.8),
    (0.45, 0.02),
    (0.02, 0.95),
    (0.25, 0.5),
];

/// Fitted wander of one history. Units: the history's, and its axis (years or use).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WanderFit {
    /// Readings used.
    pub readings: u32,
    /// Largest change between neighbours, in which filters and smoothers count.
    pub scale: f64,
    /// Levels and drifts estimated beside the two variances.
    pub parameters: u32,
    /// Variance of the random walk per unit of x.
    pub wander: f64,
    /// Variance of a reading, where u is not stated; excess variance beyond u, where it is.
    pub noise: f64,
    /// True where `noise` adds to stated u.
    pub u_stated: bool,
    /// Covariance of ln(noise) and ln(wander): 11, 12, 22; NaN where one of them is none.
    pub covariance_of_logs: [f64; 3],
    /// Log likelihood at the maximum, of the kind asked for.
    pub log_likelihood: f64,
    /// Weighted sum of squared innovations.
    pub chi_squared: f64,
    /// True where the search ended on a maximum.
    pub converged: bool,
    /// Level and drift at the last reading, and the rates ahead.
    pub forecast: StateForecast,
}

/// Why a history has no wander fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WanderError {
    /// Fewer readings than levels, drifts and variances need.
    TooFew,
    /// Readings that do not differ in value, or all of one date.
    NoChange,
    /// Values or uncertainties out of the range of computation.
    OutOfRange,
}

impl WanderError {
    /// A sentence for the notes.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Self::TooFew => {
                "too few readings for a wander model: it needs three more than its levels where u is stated, four where not"
            }
            Self::NoChange => {
                "the readings do not differ in value or date; there is no wander to estimate"
            }
            Self::OutOfRange => {
                "the values or uncertainties are too large or too small to compute with"
            }
        }
    }
}

/// Fits the wander model to the readings of one history, oldest first.
///
/// # Errors
/// `WanderError` where the readings cannot carry the model.
pub fn fit_wander_readings(
    readings: &[Reading],
    kind: Likelihood,
) -> Result<WanderFit, WanderError> {
    let u_stated = !readings.is_empty() && readings.iter().all(|reading| reading.u > 0.0);
    let segments = 1 + readings.last().map_or(0, |last| last.segment) as usize;
    if readings.len() < segments + if u_stated { 2 } else { 3 } {
        return Err(WanderError::TooFew);
    }
    let units = Units::of(readings).ok_or(WanderError::NoChange)?;
    let points = points(readings, &units);
    let search = Search {
        points: &points,
        kind,
        u_stated,
    };
    let found = search.run();
    let fit = search.fit(&found, &units, readings);
    let finite = fit.log_likelihood.is_finite() && fit.forecast.estimate.error.is_finite();
    if finite {
        Ok(fit)
    } else {
        Err(WanderError::OutOfRange)
    }
}

struct Search<'a> {
    points: &'a [Point],
    kind: Likelihood,
    u_stated: bool,
}

/// Where a search stands: logs of noise and wander; −∞ is none.
#[derive(Clone, Copy)]
struct SearchPoint {
    at: [f64; 2],
    pass: Pass,
    converged: bool,
}

impl Search<'_> {
    fn pass(&self, at: [f64; 2]) -> Pass {
        match at.map(|log| log == f64::NEG_INFINITY) {
            [true, true] => {
                let (wander, noise) = (self.none(1), self.none(0));
                pass::<f64>(self.points, wander, noise, self.kind).with(Jet::constant)
            }
            [true, false] => {
                let (wander, noise) = (Slope::exponential(at[1]), Slope::constant(self.none(0)));
                pass(self.points, wander, noise, self.kind).with(|value| value.along(1))
            }
            [false, true] => {
                let (wander, noise) = (Slope::constant(self.none(1)), Slope::exponential(at[0]));
                pass(self.points, wander, noise, self.kind).with(|value| value.along(0))
            }
            [false, false] => {
                let (wander, noise) = (Jet::exponential(at[1], 1), Jet::exponential(at[0], 0));
                pass(self.points, wander, noise, self.kind)
            }
        }
    }

    /// What stands for no variance: without stated u some noise is always there, since two
    /// variances of zero divide.
    fn none(&self, index: usize) -> f64 {
        if index == 0 && !self.u_stated {
            NONE.exp()
        } else {
            0.0
        }
    }

    /// The best of both variances free, and of each set to none where that may be.
    fn run(&self) -> SearchPoint {
        let mut best = self.maximise(self.start(), LOW);
        if best.converged && best.at.iter().all(|log| *log >= LOW) {
            return best;
        }
        let none = f64::NEG_INFINITY;
        let from = |i: usize| best.at[i].max(-3.0);
        let alone = [
            self.maximise([from(0), none], LOW),
            self.maximise([none, from(1)], LOW),
        ];
        best = better(best, better(alone[0], alone[1]));
        if self.u_stated {
            let (at, pass) = ([none; 2], self.pass([none; 2]));
            let converged = true;
            best = better(
                best,
                SearchPoint {
                    at,
                    pass,
                    converged,
                },
            );
        }
        match best.converged {
            true => best,
            // Both are there, one of them much smaller than the largest change.
            false => better(best, self.maximise(best.at, f64::NEG_INFINITY)),
        }
    }

    /// The likeliest of a few splits of the typical squared change into noise and wander.
    fn start(&self) -> [f64; 2] {
        let (mut sum, mut count) = (0.0, 0.0);
        for pair in self.points.windows(2) {
            if pair[0].segment == pair[1].segment {
                sum += (pair[1].value - pair[0].value).powi(2);
                count += 1.0;
            }
        }
        let count = f64::max(count, 1.0);
        let square = f64::max(sum / count, 1e-12);
        let mut best = (f64::NEG_INFINITY, [0.0; 2]);
        for (noise, wander) in SPLITS {
            let (noise, wander) = (noise * square, wander * square * count);
            let found = pass::<f64>(self.points, wander, noise, self.kind).log_likelihood;
            if found > best.0 {
                best = (found, [noise.ln(), wander.ln()]);
            }
        }
        best.1
    }

    /// Newton's method with halved steps; of two log variances one that falls below `low` ends it.
    fn maximise(&self, mut at: [f64; 2], low: f64) -> SearchPoint {
        let mut here = self.pass(at);
        let free = at.map(|log| log != f64::NEG_INFINITY);
        for _ in 0..STEPS {
            let jet = here.log_likelihood;
            let step = newton(&jet, free);
            let promised = jet.slope[0] * step[0] + jet.slope[1] * step[1];
            if promised.abs() < self.hidden() {
                return self.settled(at, here, free);
            }
            let ends = free == [true; 2] && at.iter().any(|log| *log < low);
            let moved = match ends {
                true => None,
                false => self.moved(at, &jet, step),
            };
            let Some(moved) = moved else {
                break;
            };
            (at, here) = moved;
        }
        SearchPoint {
            at,
            pass: here,
            converged: false,
        }
    }

    /// As far along `step` as the likelihood grows.
    fn moved(&self, at: [f64; 2], jet: &Jet, step: [f64; 2]) -> Option<([f64; 2], Pass)> {
        let longest = step[0].abs().max(step[1].abs());
        let mut part = (LONGEST / longest).min(1.0);
        for _ in 0..40 {
            let moved = [at[0] + part * step[0], at[1] + part * step[1]];
            let there = self.pass(moved);
            if there.log_likelihood.value >= jet.value {
                return Some((moved, there));
            }
            part *= 0.5;
        }
        None
    }

    /// Newton's last steps from where the likelihood's rounding hides what is left to gain: its
    /// slope still tells where the maximum is. To go on by the value would follow the rounding,
    /// the longer the more readings there are.
    fn settled(&self, mut at: [f64; 2], mut here: Pass, free: [bool; 2]) -> SearchPoint {
        let slope = |pass: &Pass| {
            let [first, second] = pass.log_likelihood.slope.map(f64::abs);
            first.max(second)
        };
        for _ in 0..LAST_STEPS {
            let step = newton(&here.log_likelihood, free);
            let moved = [at[0] + step[0], at[1] + step[1]];
            let there = self.pass(moved);
            if slope(&there).partial_cmp(&slope(&here)) != Some(Ordering::Less) {
                break;
            }
            (at, here) = (moved, there);
        }
        SearchPoint {
            at,
            pass: here,
            converged: true,
        }
    }

    /// Gain in log likelihood that its rounding hides.
    fn hidden(&self) -> f64 {
        let terms = (self.points.len() as f64).powf(1.5);
        ROUNDING.max(ROUNDING_OF_TERMS * f64::EPSILON * terms)
    }

    fn fit(&self, found: &SearchPoint, units: &Units, readings: &[Reading]) -> WanderFit {
        let pass = &found.pass;
        let square = units.scale * units.scale;
        let drifts = pass.parameters - self.segments();
        let jacobian = units.log_jacobian(readings.len(), pass.parameters, drifts, self.kind);
        let (noise, wander) = (
            found.at[0].exp() * square,
            found.at[1].exp() * square / units.span,
        );
        let next = next_u(readings);
        let stated = if self.u_stated { next * next } else { 0.0 };
        WanderFit {
            readings: readings.len() as u32,
            scale: units.scale,
            parameters: pass.parameters,
            wander,
            noise,
            u_stated: self.u_stated,
            covariance_of_logs: inverse(pass.log_likelihood.curvature, found.at),
            log_likelihood: pass.log_likelihood.value + jacobian,
            chi_squared: pass.chi_squared,
            converged: found.converged,
            forecast: StateForecast {
                origin: readings.last().map_or(f64::NAN, |last| last.x),
                estimate: estimate(pass, units),
                rates: Rates {
                    wander,
                    excess: noise,
                    common: 0.0,
                    ..Rates::default()
                },
                noise: stated + noise,
                step_rate: 0.0,
                step_time: f64::INFINITY,
                most_steps: 0.0,
                u_common: 0.0,
                degrees_of_freedom: f64::INFINITY,
            },
        }
    }

    fn segments(&self) -> u32 {
        let changes = self
            .points
            .windows(2)
            .filter(|pair| pair[0].segment != pair[1].segment);
        1 + changes.count() as u32
    }
}

fn better(first: SearchPoint, second: SearchPoint) -> SearchPoint {
    let value = |found: &SearchPoint| {
        let value = found.pass.log_likelihood.value;
        if value.is_nan() {
            f64::NEG_INFINITY
        } else {
            value
        }
    };
    if value(&second) >= value(&first) - 1e-9 {
        second
    } else {
        first
    }
}

/// Ascent direction: Newton's where the likelihood curves down, else along the slope.
fn newton(jet: &Jet, free: [bool; 2]) -> [f64; 2] {
    let [g, h] = jet.slope;
    let [a, b, d] = jet.curvature.map(|x| -x);
    // Of a variance that goes to none slope and curvature fade alike: no floor holds them up.
    let alone = |slope: f64, curve: f64| match slope == 0.0 {
        true => 0.0,
        false => (slope / curve.abs()).clamp(-LONGEST, LONGEST),
    };
    if !free[0] {
        return [0.0, alone(h, d)];
    }
    if !free[1] {
        return [alone(g, a), 0.0];
    }
    let determinant = a * d - b * b;
    if a > 0.0 && determinant > 1e-12 * a * d.abs() {
        [(d * g - b * h) / determinant, (a * h - b * g) / determinant]
    } else {
        [alone(g, a), alone(h, d)]
    }
}

/// Covariance of the log variances from the curvature at the maximum.
fn inverse(curvature: [f64; 3], at: [f64; 2]) -> [f64; 3] {
    let [a, b, d] = curvature.map(|x| -x);
    let determinant = a * d - b * b;
    if at.contains(&f64::NEG_INFINITY) || determinant <= 0.0 {
        return [f64::NAN; 3];
    }
    [d / determinant, -b / determinant, a / determinant]
}

/// Level and drift at the last reading with their covariance, in the history's units.
pub(crate) fn estimate<R>(pass: &Pass<R>, units: &Units) -> StateEstimate {
    let drift_variance = if pass.drift_information > 0.0 {
        1.0 / pass.drift_information
    } else {
        0.0
    };
    let level = pass.level_pull - pass.level_share * pass.drift;
    let level_variance = 1.0 / pass.level_information + pass.level_share.powi(2) * drift_variance;
    let between = -pass.level_share * drift_variance;
    let (constant, time) = (1.0 - pass.state[1], pass.last_time - pass.state[2]);
    let error = pass.state[0] + constant * level + time * pass.drift;
    let variance = pass.variance
        + constant * constant * level_variance
        + 2.0 * constant * time * between
        + time * time * drift_variance;
    let covariance = constant * between + time * drift_variance;
    let (scale, span) = (units.scale, units.span);
    StateEstimate {
        error: units.centre + scale * error,
        drift: scale * pass.drift / span,
        error_variance: scale * scale * variance.max(0.0),
        covariance: scale * scale * covariance / span,
        drift_variance: scale * scale * drift_variance / (span * span),
    }
}

#[cfg(test)]
#[path = "wander_tests.rs"]
mod tests;
