/*! Parameters of one class: the mode of the marginal likelihood with weak priors, and
the plausible sets around it.

The parameters are the logarithms of four variances (drift between members, wander,
turning, excess), each with a log-normal prior so wide that a class of a dozen histories
decides for itself, and so placed that a class of two still works. Newton's method on a
quadratic through neighbouring points finds the mode; a third-degree cubature rule along
the axes of the curvature there (I. Arasaratnam and S. Haykin, *Cubature Kalman filters*,
2009), reweighted by the likelihood itself, carries what the class does not know of its
own parameters into every forecast.
*/

use super::classes::{ClassParameters, Join, Node, Rates, Sample, Scale};
use super::classes_likelihood::{Pass, pass};
use super::state::NODES;
use nalgebra::{SMatrix, SVector, SymmetricEigen};
use std::cmp::Ordering;

/// Number of variances estimated.
const SIZE: usize = 4;
type Vector = SVector<f64, SIZE>;
type Matrix = SMatrix<f64, SIZE, SIZE>;

/// A squared innovation beyond 16 variances (four standard deviations) is a step.
const STEP_THRESHOLD: f64 = 16.0;
/// Steps per year before any is seen: 0.3 in 15 years, weighed against what is seen.
const STEPS_BEFORE: f64 = 0.3;
const YEARS_BEFORE: f64 = 15.0;
/// Prior medians of drift, wander and turning variance in squares of the tolerance
/// half-width (0.11 a year, 0.06 per root year, 0.009 a year per root year): what
/// tolerances are for, tuned in the closed loop of docs/methods-state.md.
const TOLERANCE_CENTRES: (f64, f64, f64) = (0.0125, 0.0037, 8e-5);
/// The same in squares of the typical change between readings, where no tolerance is known.
const CHANGE_CENTRES: (f64, f64, f64) = (9.0, 1.0, 0.1);
/// Prior median of the excess variance over that of a reading (an excess of 0.07 u).
const EXCESS_CENTRE: f64 = 0.0054;
/// Smallest noise variance the priors are hung on, in squares of the scale.
const LEAST_NOISE: f64 = 1e-12;
/// Distance of neighbouring points in log variance.
const NEIGHBOUR: f64 = 0.3;
/// Longest Newton step in any log variance.
const LONGEST: f64 = 2.0;
const ITERATIONS: usize = 8;
/// Readings from which a pass over them is long against the start of a task.
const WORTH_TWO_CORES: usize = 4_000;
/// A gain in log posterior below this ends the search.
const ENOUGH: f64 = 0.01;

/// Where the priors of the log variances stand and how wide they are.
#[derive(Debug, Clone, Copy)]
struct Prior {
    centre: Vector,
    width: Vector,
    /// Variance of the class's mean drift about zero.
    mean_drift: f64,
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
            Scale::Fixed(_) => CHANGE_CENTRES,
        };
        Self {
            centre: Vector::new(drift, wander, turning, noise).map(f64::ln),
            width: Vector::new(3.0, 3.0, 2.0, 2.0),
            mean_drift: 4.0 * drift,
        }
    }
}

/// One class under estimation.
struct Search<'a> {
    sample: &'a Sample,
    prior: Prior,
    /// Mean drift about which the filters run.
    reference: f64,
}

/// Parameters of the class behind `sample`.
pub(super) fn fit_class(sample: &Sample) -> ClassParameters {
    let mut search = Search {
        sample,
        prior: Prior::of(sample),
        reference: 0.0,
    };
    let mut at = search.prior.centre;
    let mut curvature =
        Matrix::from_diagonal(&search.prior.width.map(|width| 1.0 / (width * width)));
    if !sample.data.is_empty() {
        // The second climb starts where the first ended, about the mean drift found there,
        // so that what counts as a step is judged against it.
        for _ in 0..2 {
            (at, curvature) = search.climb(at);
            let [(_, found)] = search.passes(&[at]);
            search.reference = search.mean_drift(&found).0;
        }
    }
    let nodes = search.nodes(&at, &curvature);
    let rates = search.rates(&at);
    let (steps, years) = search.steps(&rates);
    ClassParameters {
        rates,
        nodes,
        unstated_noise: sample.unstated_noise,
        step_rate: (f64::from(steps) + STEPS_BEFORE) / (years + YEARS_BEFORE),
        step_threshold: STEP_THRESHOLD,
        scale: sample.scale,
        pace: sample.pace,
        members: sample.members,
        informed: sample.informed,
        steps,
    }
}

impl Search<'_> {
    fn rates(&self, at: &Vector) -> Rates {
        Rates {
            drift: self.reference,
            drift_variance: at[0].exp(),
            wander: at[1].exp(),
            turning: at[2].exp(),
            excess: at[3].exp(),
        }
    }

    /// Log posterior at `L` points.
    fn posterior<const L: usize>(&self, points: &[Vector; L]) -> [f64; L] {
        self.passes(points).map(|(posterior, _)| posterior)
    }

    /// Log posterior and what the pass found, at `L` points.
    fn passes<const L: usize>(&self, points: &[Vector; L]) -> [(f64, Pass); L] {
        let rates: [Rates; L] = std::array::from_fn(|i| self.rates(&points[i]));
        let passes = pass(&self.sample.data, &rates, STEP_THRESHOLD);
        std::array::from_fn(|i| {
            let off = (points[i] - self.prior.centre).component_div(&self.prior.width);
            (
                self.marginal(&passes[i]) - 0.5 * off.norm_squared(),
                passes[i],
            )
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
    fn mean_drift(&self, found: &Pass) -> (f64, f64) {
        let before = 1.0 / self.prior.mean_drift;
        let variance = 1.0 / (found.information + before);
        let mean = self.reference + (found.pull - self.reference * before) * variance;
        (mean, variance)
    }

    /// Newton's method from `at` to the mode: the mode, and the quadratic there.
    fn climb(&self, mut at: Vector) -> (Vector, Matrix) {
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
        let sides = || -> [f64; 8] {
            self.posterior(&std::array::from_fn(|i| {
                at + axis(i / 2) * if i % 2 == 0 { 1.0 } else { -1.0 }
            }))
        };
        let both = || -> [f64; 6] { self.posterior(&PAIRS.map(|(i, j)| at + axis(i) + axis(j))) };
        // Each lane is computed alone, so that two cores give the same bytes as one.
        let (sides, both) = if self.sample.data.len() < WORTH_TWO_CORES {
            (sides(), both())
        } else {
            rayon::join(sides, both)
        };
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

    /// Plausible sets of rates with their weights: eight points around the mode, the mode
    /// itself only where none of them can be computed.
    fn nodes(&self, at: &Vector, curvature: &Matrix) -> [Node; NODES] {
        let eigen = SymmetricEigen::new(*curvature);
        let mut points = [*at; NODES];
        for i in 0..SIZE {
            // The prior alone gives each axis its own curvature; less is an artefact of
            // the quadratic.
            let least = 1.0 / self.prior.width.component_mul(&self.prior.width).max();
            let width = 1.0 / eigen.eigenvalues[i].max(least).sqrt();
            let reach = eigen.eigenvectors.column(i) * (width * (SIZE as f64).sqrt());
            points[2 * i] += reach;
            points[2 * i + 1] -= reach;
        }
        let found = self.passes(&points);
        let expected = found[NODES - 1].0 - 0.5 * SIZE as f64;
        let mut nodes: [Node; NODES] = std::array::from_fn(|i| {
            let weight = (found[i].0 - expected).clamp(-20.0, 1.0).exp();
            let weight = if weight.is_nan() || i == NODES - 1 {
                0.0
            } else {
                weight
            };
            self.node(&points[i], &found[i].1, weight)
        });
        let sum: f64 = nodes.iter().map(|node| node.weight).sum();
        if sum < 1e-6 {
            nodes[NODES - 1].weight = 1.0;
            return nodes;
        }
        for node in &mut nodes {
            node.weight /= sum;
        }
        nodes
    }

    /// One node: its rates, with the mean drift they imply and its uncertainty.
    fn node(&self, at: &Vector, found: &Pass, weight: f64) -> Node {
        let (mean, variance) = self.mean_drift(found);
        let mut rates = self.rates(at);
        rates.drift = mean;
        rates.drift_variance += variance;
        Node { rates, weight }
    }

    /// Steps found at the mode and the years watched.
    fn steps(&self, rates: &Rates) -> (u32, f64) {
        let (mut steps, mut years) = (0, 0.0);
        let mut belief = super::state::Belief::default();
        for datum in &self.sample.data {
            let noise = datum.noise + rates.excess;
            if datum.join == Join::NewDrift {
                belief = super::state::Belief::first(datum.value, noise, rates);
                continue;
            }
            years += datum.time;
            belief = belief.after(datum.time, rates);
            let off = datum.value - belief.error;
            let stepped = off * off > STEP_THRESHOLD * (belief.error_variance + noise);
            let continues = datum.join == Join::Continues;
            steps += u32::from(continues && stepped);
            belief = if continues && !stepped {
                belief.given(off, noise)
            } else {
                belief.restarted(datum.value, noise)
            };
        }
        (steps, years)
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
