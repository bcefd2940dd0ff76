/*! Search for the parameters of one class: the mode of the marginal likelihood with weak
priors, and the plausible sets around it.

The parameters are the logarithms of four variances (drift between members, wander,
turning, excess), each with a log-normal prior so wide that a class of a dozen histories
decides for itself, and so placed that a class of two still works. Newton's method on a
quadratic through neighbouring points finds a mode. The excess beyond a stated u has a
half-Cauchy prior of its standard deviation instead (A. Gelman, *Prior distributions for
variance parameters in hierarchical models*, 2006), whose tail does not rule out a u that
is stated far too small.
*/

use super::count::{Count, surprises};
use super::likelihood::{Pass, pass, transitions};
use super::sample::Sample;
use crate::drift::class::rates::{QuadraturePoint, Rates, Scale};
use crate::drift::state::surprise::Surprises;
use crate::drift::state::transition::Transition;
use nalgebra::{SMatrix, SVector, SymmetricEigen};
use std::cmp::Ordering;

/// Number of variances estimated.
pub(crate) const SIZE: usize = 4;
pub(crate) type Vector = SVector<f64, SIZE>;
pub(crate) type Matrix = SMatrix<f64, SIZE, SIZE>;

/// Prior medians of drift, wander and turning variance in squares of the tolerance
/// half-width (0.11 a year, 0.06 per root year, 0.009 a year per root year): what
/// tolerances are for, tuned in the closed loop of docs/methods-state.md.
const TOLERANCE_CENTRES: (f64, f64, f64) = (0.0125, 0.0037, 8e-5);
/// The same in squares of the typical change between readings, where no tolerance is known.
const CHANGE_CENTRES: (f64, f64, f64) = (9.0, 1.0, 0.1);
/// Prior median of the excess variance over that of a reading (scale of the half-Cauchy
/// prior: an excess of 0.07 u).
const EXCESS_CENTRE: f64 = 0.0054;
/// Prior median of the share of a stated variance that is each reading's own, where the rest is
/// shared, and the standard deviation of its logarithm: wide. Our own choice, no source.
const OWN_CENTRE: f64 = 0.25;
const OWN_WIDTH: f64 = 1.5;
/// Smallest noise variance the priors are hung on, in squares of the scale.
const LEAST_NOISE: f64 = 1e-12;
/// Distance of neighbouring points in log variance.
const NEIGHBOUR: f64 = 0.3;
/// Longest Newton step in any log variance.
const LONGEST: f64 = 2.0;
const ITERATIONS: usize = 8;
/// A gain in log posterior below this ends the search.
const ENOUGH: f64 = 0.01;

/// What the fourth log variance stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum NoiseTerm {
    /// The variance of a reading, where no u is stated.
    Whole,
    /// The excess beyond a stated u.
    Excess,
    /// The share of a stated variance that is each reading's own; the rest is shared.
    Own,
}

/// Where the priors of the log variances stand and how wide they are.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Prior {
    pub centre: Vector,
    pub width: Vector,
    /// Variance of the class's mean drift about zero.
    pub mean_drift: f64,
    /// What the fourth variance is.
    noise: NoiseTerm,
}

impl Prior {
    /// Priors in units of the tolerance, or of the typical change between readings.
    fn of(sample: &Sample) -> Self {
        let noise = if sample.some_stated {
            EXCESS_CENTRE * sample.unstated_noise.max(LEAST_NOISE)
        } else if sample.change > 0.0 {
            0.5 * sample.change
        } else {
            0.01
        };
        let (drift, wander, turning) = match sample.scale {
            Scale::Tolerance => TOLERANCE_CENTRES,
            Scale::Fixed(_) | Scale::Unknown => CHANGE_CENTRES,
        };
        Self {
            centre: Vector::new(drift, wander, turning, noise).map(f64::ln),
            width: Vector::new(3.0, 3.0, 2.0, 2.0),
            mean_drift: 4.0 * drift,
            noise: match sample.some_stated {
                true => NoiseTerm::Excess,
                false => NoiseTerm::Whole,
            },
        }
    }

    /// The same where a stated u is shared by all checks.
    fn with_shared_u(mut self) -> Self {
        self.noise = NoiseTerm::Own;
        self.centre[3] = OWN_CENTRE.ln();
        self.width[3] = OWN_WIDTH;
        self
    }

    /// Log density of the log variances, constants left out.
    fn log_density(&self, at: &Vector) -> f64 {
        self.log_density_of_motion(at) + self.log_density_of_noise(at)
    }

    fn log_density_of_motion(&self, at: &Vector) -> f64 {
        let off = (at - self.centre).component_div(&self.width);
        -0.5 * off.fixed_rows::<3>(0).norm_squared()
    }

    fn log_density_of_noise(&self, at: &Vector) -> f64 {
        let noise = at[3] - self.centre[3];
        match self.noise {
            // Half-Cauchy density of the excess deviation.
            NoiseTerm::Excess => 0.5 * noise - noise.exp().ln_1p(),
            NoiseTerm::Whole | NoiseTerm::Own => -0.5 * (noise / self.width[3]).powi(2),
        }
    }
}

/// One class under estimation.
#[derive(Clone)]
pub(crate) struct Search<'a> {
    pub sample: &'a Sample,
    pub prior: Prior,
    /// Mean drift about which the filters run.
    pub reference: f64,
    /// Share of the drift that fades a year.
    pub damping: f64,
    /// What the time before each reading does to such a drift.
    transitions: Vec<Transition>,
    pub surprises: Surprises,
}

impl<'a> Search<'a> {
    /// A search that has seen nothing yet.
    pub fn new(sample: &'a Sample) -> Self {
        Self {
            sample,
            prior: Prior::of(sample),
            reference: 0.0,
            damping: 0.0,
            transitions: Vec::new(),
            surprises: surprises(sample.scale, &Count::default()),
        }
    }

    /// The same search where a stated u is shared by all checks.
    pub fn with_shared_u(&self) -> Self {
        Self {
            prior: self.prior.with_shared_u(),
            ..self.clone()
        }
    }

    /// The same search among drifts that fade by `damping` a year.
    pub fn damped(&self, damping: f64) -> Self {
        Self {
            damping,
            transitions: transitions(&self.sample.data, damping),
            ..self.clone()
        }
    }

    pub fn rates(&self, at: &Vector) -> Rates {
        Rates {
            drift: self.reference,
            drift_variance: at[0].exp(),
            wander: at[1].exp(),
            turning: at[2].exp(),
            damping: self.damping,
            ..self.noise_rates(at[3])
        }
    }

    /// Those of the rates that say how readings scatter.
    fn noise_rates(&self, log_variance: f64) -> Rates {
        let variance = log_variance.exp();
        match self.prior.noise {
            NoiseTerm::Whole | NoiseTerm::Excess => Rates {
                excess: variance,
                ..Rates::default()
            },
            NoiseTerm::Own => Rates {
                common: (1.0 - variance).max(0.0),
                ..Rates::default()
            },
        }
    }

    /// Log posterior at `L` points.
    pub fn posterior<const L: usize>(&self, points: &[Vector; L]) -> [f64; L] {
        self.passes(points).map(|(posterior, _)| posterior)
    }

    /// Log posterior at `L` points, without what was believed of the noise before.
    pub fn evidence<const L: usize>(&self, points: &[Vector; L]) -> [f64; L] {
        let posterior = self.posterior(points);
        std::array::from_fn(|i| posterior[i] - self.prior.log_density_of_noise(&points[i]))
    }

    /// Log posterior and what the pass found, at `L` points.
    pub fn passes<const L: usize>(&self, points: &[Vector; L]) -> [(f64, Pass); L] {
        let rates: [Rates; L] = std::array::from_fn(|i| self.rates(&points[i]));
        let passes = pass(
            &self.sample.data,
            &self.transitions,
            &rates,
            &self.surprises,
        );
        std::array::from_fn(|i| {
            let before = self.prior.log_density(&points[i]);
            (self.marginal(&passes[i]) + before, passes[i])
        })
    }

    /// Log likelihood with the mean drift integrated out over its prior.
    fn marginal(&self, pass: &Pass) -> f64 {
        let before = 1.0 / self.prior.mean_drift;
        let information = pass.information + before;
        let pull = pass.pull - self.reference * before;
        pass.log_likelihood + 0.5 * (pull * pull / information - (information / before).ln())
            - 0.5 * self.reference * self.reference * before
    }

    /// Mean drift of the class and its variance, from a pass.
    pub fn mean_drift(&self, found: &Pass) -> (f64, f64) {
        let before = 1.0 / self.prior.mean_drift;
        let variance = 1.0 / (found.information + before);
        let mean = self.reference + (found.pull - self.reference * before) * variance;
        (mean, variance)
    }

    /// Newton's method from `at` to the mode: the mode, and the quadratic there.
    pub fn maximise(&self, mut at: Vector) -> (Vector, Matrix) {
        let [mut best] = self.posterior(&[at]);
        let mut last = Matrix::identity();
        for _ in 0..ITERATIONS {
            let (slope, curvature) = self.quadratic(&at, best);
            last = curvature;
            let step = capped(newton(&slope, &curvature));
            if slope.dot(&step) < ENOUGH {
                break;
            }
            let tried: [Vector; 4] = [1.0, 2.0, 0.5, 0.2].map(|part| at + step * part);
            let found = self.posterior(&tried);
            let top = (0..4).fold(0, |top, i| if found[i] > found[top] { i } else { top });
            // Not-a-number never wins, since every comparison with it fails.
            if found[top].partial_cmp(&best) != Some(Ordering::Greater) {
                break;
            }
            (at, best) = (tried[top], found[top]);
        }
        (at, last)
    }

    /// Slope and curvature (negative Hessian) of the log posterior by central differences.
    fn quadratic(&self, at: &Vector, here: f64) -> (Vector, Matrix) {
        let axis = |i: usize| Vector::from_fn(|j, _| if i == j { NEIGHBOUR } else { 0.0 });
        const PAIRS: [(usize, usize); 6] = [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)];
        let side = |i: usize| at + axis(i / 2) * if i.is_multiple_of(2) { 1.0 } else { -1.0 };
        let (sides, both): ([f64; 8], [f64; 6]) = rayon::join(
            || self.posterior(&std::array::from_fn(side)),
            || self.posterior(&PAIRS.map(|(i, j)| at + axis(i) + axis(j))),
        );
        let square = NEIGHBOUR * NEIGHBOUR;
        let slope = Vector::from_fn(|i, _| (sides[2 * i] - sides[2 * i + 1]) / (2.0 * NEIGHBOUR));
        let mut curvature = Matrix::zeros();
        for i in 0..SIZE {
            curvature[(i, i)] = (2.0 * here - sides[2 * i] - sides[2 * i + 1]) / square;
        }
        for (k, (i, j)) in PAIRS.into_iter().enumerate() {
            let mixed = -(both[k] - sides[2 * i] - sides[2 * j] + here) / square;
            curvature[(i, j)] = mixed;
            curvature[(j, i)] = mixed;
        }
        (slope, curvature)
    }

    /// One node: its rates, with the mean drift they imply and its uncertainty.
    pub fn node(&self, at: &Vector, found: &Pass, weight: f64) -> QuadraturePoint {
        let (mean, variance) = self.mean_drift(found);
        let mut rates = self.rates(at);
        rates.drift = mean;
        rates.drift_variance += variance;
        QuadraturePoint { rates, weight }
    }
}

/// Newton step: solves `curvature · step = slope`, with every eigenvalue made positive.
fn newton(slope: &Vector, curvature: &Matrix) -> Vector {
    let eigen = SymmetricEigen::new(*curvature);
    let along = eigen.eigenvectors.transpose() * slope;
    let step = Vector::from_fn(|i, _| along[i] / eigen.eigenvalues[i].abs().max(0.1));
    eigen.eigenvectors * step
}

/// The step, shortened where a component would leave the range a quadratic can speak for.
fn capped(step: Vector) -> Vector {
    let longest = step.amax();
    if longest > LONGEST {
        step * (LONGEST / longest)
    } else {
        step
    }
}
