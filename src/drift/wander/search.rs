/*! The search for the variances of noise and wander that a history makes likeliest: Newton's method in their logarithms. */

use super::jet::{Jet, Real, Slope};
use super::likelihood::{Likelihood, Pass, Point, pass};
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

/// What is searched for the variances of noise and wander that maximise the likelihood of a history.
pub(super) struct Search<'a> {
    pub points: &'a [Point],
    pub kind: Likelihood,
    pub u_stated: bool,
}

/// Where a search stands: logs of noise and wander; −∞ is none.
#[derive(Clone, Copy)]
pub(super) struct SearchPoint {
    pub at: [f64; 2],
    pub pass: Pass,
    pub converged: bool,
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
    pub(super) fn run(&self) -> SearchPoint {
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
