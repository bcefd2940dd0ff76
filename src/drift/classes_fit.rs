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
use super::state::{Belief, NODES};
use super::surprise::{Meaning, Surprises};
use nalgebra::{SMatrix, SVector, SymmetricEigen};
use std::cmp::Ordering;

/// Number of variances estimated.
const SIZE: usize = 4;
type Vector = SVector<f64, SIZE>;
type Matrix = SMatrix<f64, SIZE, SIZE>;

/// Steps and breaks per year before any is seen, weighed against what is seen.
const STEPS_BEFORE: f64 = 0.3;
const BREAKS_BEFORE: f64 = 0.1;
const YEARS_BEFORE: f64 = 15.0;
/// Outlying readings before any is seen: 0.2 in 40.
const OUTLYING_BEFORE: f64 = 0.2;
const READINGS_BEFORE: f64 = 40.0;
/// Standard deviations of a step and of the drift that a break adds a year, in the scale:
/// half-widths of the tolerance, or typical changes between readings.
const SURPRISE_SIZES: (f64, f64) = (0.7, 0.35);
const SURPRISE_CHANGES: (f64, f64) = (7.0, 7.0);
/// Variance of an outlying reading over that of another: three times the scatter.
const OUTLYING_FACTOR: f64 = 8.0;
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
/// A gain in log posterior below this ends the search.
const ENOUGH: f64 = 0.01;

/// Another start has less wander (in log variance), and more turning or a fading drift.
const CALMER: f64 = -2.3;
const TURNING_MORE: f64 = 5.0;
/// Shares of the drift that may fade a year: half gone after seven, two and one years.
const DAMPINGS: [f64; 5] = [-0.2, -0.1, 0.1, 0.3, 0.8];
/// Gain in log posterior from which drifts are believed to fade.
const DAMPING_MARGIN: f64 = 4.0;
/// A climb that ends this far below the best in log posterior is not finished.
const HOPE: f64 = 3.0;

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
#[derive(Clone)]
struct Search<'a> {
    sample: &'a Sample,
    prior: Prior,
    /// Mean drift about which the filters run.
    reference: f64,
    /// Share of the drift that fades a year.
    damping: f64,
    surprises: Surprises,
}

/// Parameters of the class behind `sample`.
pub(super) fn fit_class(sample: &Sample) -> ClassParameters {
    let mut search = Search {
        sample,
        prior: Prior::of(sample),
        reference: 0.0,
        damping: 0.0,
        surprises: surprises(sample.scale, &Count::default()),
    };
    let mut at = search.prior.centre;
    let mut curvature =
        Matrix::from_diagonal(&search.prior.width.map(|width| 1.0 / (width * width)));
    let mut count = Count::default();
    if !sample.data.is_empty() {
        let mut best = search.settle(at);
        for (damping, start) in search.other_starts(&best.at) {
            let mut other = search.clone();
            other.damping = damping;
            let (reached, _) = other.climb(start);
            let [posterior] = other.posterior(&[reached]);
            if posterior < best.posterior - HOPE {
                continue;
            }
            let found = other.settle(reached);
            let margin = if damping != 0.0 { DAMPING_MARGIN } else { 0.0 };
            if found.posterior > best.posterior + margin {
                (best, search) = (found, other);
            }
        }
        (at, curvature, count) = (best.at, best.curvature, best.count);
    }
    ClassParameters {
        rates: search.rates(&at),
        nodes: search.nodes(&at, &curvature),
        unstated_noise: sample.unstated_noise,
        surprises: search.surprises,
        scale: sample.scale,
        pace: sample.pace,
        members: sample.members,
        informed: sample.informed,
        steps: count.meaning.step,
        pooled: None,
    }
}

/// Surprises counted by their probability, over the years and readings watched.
#[derive(Debug, Clone, Copy, Default)]
struct Count {
    meaning: Meaning,
    years: f64,
    readings: f64,
}

/// Rates of surprise: what was counted, and the little believed before.
fn surprises(scale: Scale, count: &Count) -> Surprises {
    let (step, broken) = match scale {
        Scale::Tolerance => SURPRISE_SIZES,
        Scale::Fixed(_) => SURPRISE_CHANGES,
    };
    let years = count.years + YEARS_BEFORE;
    Surprises {
        step_rate: (count.meaning.step + STEPS_BEFORE) / years,
        break_rate: (count.meaning.broken + BREAKS_BEFORE) / years,
        outlying_share: (count.meaning.outlying + OUTLYING_BEFORE)
            / (count.readings + READINGS_BEFORE),
        step_variance: step * step,
        break_variance: broken * broken,
        outlying_factor: OUTLYING_FACTOR,
    }
}

/// Where one climb ended.
struct Settled {
    at: Vector,
    curvature: Matrix,
    posterior: f64,
    count: Count,
}

impl Search<'_> {
    /// Climbs twice from `start`, the second time about the mean drift and with the
    /// surprises found by the first.
    fn settle(&mut self, start: Vector) -> Settled {
        let mut settled = Settled {
            at: start,
            curvature: Matrix::identity(),
            posterior: f64::NEG_INFINITY,
            count: Count::default(),
        };
        self.surprises = surprises(self.sample.scale, &Count::default());
        for _ in 0..2 {
            (settled.at, settled.curvature) = self.climb(settled.at);
            let [(posterior, found)] = self.passes(&[settled.at]);
            settled.posterior = posterior;
            self.reference = self.mean_drift(&found).0;
            settled.count = self.count(&self.rates(&settled.at));
            self.surprises = surprises(self.sample.scale, &settled.count);
        }
        settled
    }

    fn rates(&self, at: &Vector) -> Rates {
        Rates {
            drift: self.reference,
            drift_variance: at[0].exp(),
            wander: at[1].exp(),
            turning: at[2].exp(),
            excess: at[3].exp(),
            damping: self.damping,
        }
    }

    /// Where else the climb may start, with the damping there: the likelihood can have
    /// further tops, such as a turning drift taken for wander and steps.
    fn other_starts(&self, from: &Vector) -> [(f64, Vector); 3] {
        let calmer = from + Vector::new(0.0, CALMER, 0.0, 0.0);
        let turning = calmer + Vector::new(0.0, 0.0, TURNING_MORE, 0.0);
        let mut likeliest = [(f64::NEG_INFINITY, 0.0); 2];
        for damping in DAMPINGS {
            let mut other = self.clone();
            other.damping = damping;
            for (best, posterior) in likeliest
                .iter_mut()
                .zip(other.posterior(&[calmer, turning]))
            {
                if posterior > best.0 {
                    *best = (posterior, damping);
                }
            }
        }
        [
            (0.0, turning),
            (likeliest[0].1, calmer),
            (likeliest[1].1, turning),
        ]
    }

    /// Log posterior at `L` points.
    fn posterior<const L: usize>(&self, points: &[Vector; L]) -> [f64; L] {
        self.passes(points).map(|(posterior, _)| posterior)
    }

    /// Log posterior and what the pass found, at `L` points.
    fn passes<const L: usize>(&self, points: &[Vector; L]) -> [(f64, Pass); L] {
        let rates: [Rates; L] = std::array::from_fn(|i| self.rates(&points[i]));
        let passes = pass(&self.sample.data, &rates, &self.surprises);
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
        let sides: [f64; 8] = self.posterior(&std::array::from_fn(|i| {
            at + axis(i / 2) * if i % 2 == 0 { 1.0 } else { -1.0 }
        }));
        const PAIRS: [(usize, usize); 6] = [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)];
        let both: [f64; 6] = self.posterior(&PAIRS.map(|(i, j)| at + axis(i) + axis(j)));
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

    /// Surprises found at the mode, and the years and readings watched.
    fn count(&self, rates: &Rates) -> Count {
        let mut count = Count::default();
        let mut belief = Belief::default();
        for datum in &self.sample.data {
            let noise = datum.noise + rates.excess;
            if datum.join == Join::NewDrift {
                belief = Belief::first(datum.value, noise, rates);
                continue;
            }
            belief = belief.after(datum.time, rates);
            if datum.join == Join::NewLevel {
                belief = belief.restarted(datum.value, noise);
                continue;
            }
            let off = datum.value - belief.error;
            let told = self.surprises.told(&belief, off, noise, datum.time);
            count.meaning.step += told.meaning.step;
            count.meaning.broken += told.meaning.broken;
            count.meaning.outlying += told.meaning.outlying;
            count.years += datum.time;
            count.readings += 1.0;
            belief = told.belief;
        }
        count
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
