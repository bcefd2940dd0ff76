/*! Search for the parameters of one class: the mode of the marginal likelihood with weak
priors ([`Prior`]), and the plausible sets around it.

The parameters are the logarithms of four variances (drift between members, wander, turning,
excess). Newton's method on a quadratic through neighbouring points finds a mode.
*/

use super::count::{Count, surprises};
use super::likelihood::{Pass, pass, transitions};
use super::prior::{MotionTerm, NoiseTerm, Prior, SIZE, Vector};
use super::sample::Sample;
use super::swing_likelihood::pass_with_swing;
use crate::drift::class::rates::{QuadraturePoint, Rates};
use crate::drift::state::surprise::Surprises;
use crate::drift::state::transition::Transition;
use nalgebra::{SMatrix, SymmetricEigen};
use std::cmp::Ordering;

pub(crate) type Matrix = SMatrix<f64, SIZE, SIZE>;

/// Distance of neighbouring points in log variance.
const NEIGHBOUR: f64 = 0.3;
/// Longest Newton step in any log variance.
const LONGEST: f64 = 2.0;
const ITERATIONS: usize = 8;
/// A gain in log posterior below this ends the search.
const ENOUGH: f64 = 0.01;

/// One class under estimation.
#[derive(Clone)]
pub(crate) struct Search<'a> {
    pub sample: &'a Sample,
    pub prior: Prior,
    /// Mean drift about which the filters run.
    pub reference: f64,
    /// Turning of the drift where it is not sought.
    pub turning: f64,
    /// Share of the drift that fades a year.
    pub damping: f64,
    /// What the time before each reading does to such a drift.
    pub transitions: Vec<Transition>,
    pub surprises: Surprises,
}

impl<'a> Search<'a> {
    /// A search that has seen nothing yet.
    pub(crate) fn new(sample: &'a Sample) -> Self {
        Self {
            sample,
            prior: Prior::of(sample),
            reference: 0.0,
            turning: 0.0,
            damping: 0.0,
            transitions: Vec::new(),
            surprises: surprises(sample, &Count::default()),
        }
    }

    /// The same search where a stated u is shared by all checks.
    pub(crate) fn with_shared_u(&self) -> Self {
        Self {
            prior: self.prior.with_shared_u(),
            ..self.clone()
        }
    }

    /// The same search where the members swing with the year and drifts turn as they do `at` a point.
    pub(crate) fn with_swing(&self, at: &Vector) -> Self {
        Self {
            turning: at[2].exp(),
            prior: self.prior.with_swing(self.sample.scale),
            ..self.clone()
        }
    }

    /// The same search among drifts that fade by `damping` a year.
    pub(crate) fn damped(&self, damping: f64) -> Self {
        Self {
            damping,
            transitions: transitions(&self.sample.data, damping),
            ..self.clone()
        }
    }

    pub(crate) fn rates(&self, at: &Vector) -> Rates {
        Rates {
            drift: self.reference,
            drift_variance: at[0].exp(),
            wander: at[1].exp(),
            turning: match self.prior.motion {
                MotionTerm::Turning => at[2].exp(),
                MotionTerm::Swing => self.turning,
            },
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
    pub(crate) fn posterior<const L: usize>(&self, points: &[Vector; L]) -> [f64; L] {
        self.passes(points).map(|(posterior, _)| posterior)
    }

    /// Log posterior at `L` points, without what was believed of the noise before.
    pub(crate) fn evidence<const L: usize>(&self, points: &[Vector; L]) -> [f64; L] {
        let posterior = self.posterior(points);
        std::array::from_fn(|i| posterior[i] - self.prior.log_density_of_noise(&points[i]))
    }

    /// Log posterior and what the pass found, at `L` points.
    pub(crate) fn passes<const L: usize>(&self, points: &[Vector; L]) -> [(f64, Pass); L] {
        let rates: [Rates; L] = std::array::from_fn(|i| self.rates(&points[i]));
        let (data, between) = (&self.sample.data, &self.transitions);
        let passes = match self.prior.motion {
            MotionTerm::Turning => pass(data, between, &rates, &self.surprises),
            MotionTerm::Swing => {
                let swing: [f64; L] = std::array::from_fn(|i| points[i][2].exp());
                let phases = &self.sample.phases;
                pass_with_swing(
                    data,
                    phases,
                    between,
                    &rates,
                    &swing,
                    &self.surprises,
                    |_| {},
                )
            }
        };
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
    pub(crate) fn mean_drift(&self, found: &Pass) -> (f64, f64) {
        let before = 1.0 / self.prior.mean_drift;
        let variance = 1.0 / (found.information + before);
        let mean = self.reference + (found.pull - self.reference * before) * variance;
        (mean, variance)
    }

    /// Newton's method from `at` to the mode: the mode, and the quadratic there.
    pub(crate) fn maximise(&self, at: Vector) -> (Vector, Matrix) {
        self.maximise_holding(at, &[])
    }

    /// As [`Search::maximise`], with the log variances `held` where they are.
    pub(crate) fn maximise_holding(&self, mut at: Vector, held: &[usize]) -> (Vector, Matrix) {
        let [mut best] = self.posterior(&[at]);
        let mut last = Matrix::identity();
        for _ in 0..ITERATIONS {
            let (mut slope, mut curvature) = self.quadratic(&at, best);
            last = curvature;
            for &axis in held {
                slope[axis] = 0.0;
                curvature.fill_row(axis, 0.0);
                curvature.fill_column(axis, 0.0);
            }
            let step = capped(newton(&slope, &curvature));
            if slope.dot(&step) < ENOUGH {
                break;
            }
            let tried: [Vector; 4] = [1.0, 2.0, 0.5, 0.2].map(|part| at + step * part);
            let found = self.posterior(&tried);
            let largest = (0..4).fold(0, |largest, i| {
                if found[i] > found[largest] {
                    i
                } else {
                    largest
                }
            });
            // Not-a-number never wins, since every comparison with it fails.
            if found[largest].partial_cmp(&best) != Some(Ordering::Greater) {
                break;
            }
            (at, best) = (tried[largest], found[largest]);
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

    /// One quadrature point: its rates, with the mean drift they imply and its uncertainty.
    pub(crate) fn quadrature_point(
        &self,
        at: &Vector,
        found: &Pass,
        weight: f64,
    ) -> QuadraturePoint {
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
