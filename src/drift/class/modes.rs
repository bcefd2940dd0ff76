/*! Explanations of a class's readings, and the plausible sets of rates around them.

A class that has only begun cannot tell drifts that differ from wander from readings worse
than stated: with two readings an item only their sum is known. The posterior of the log
variances is then one ridge with an arm for each explanation. Beside the best mode each arm is looked
at where the others are calm, with drift and wander held there; those that are nearly as high
are kept, each with the weight of the volume under it (P. S. Laplace's approximation), and the
class lends them all.

Around one mode the plausible sets are a third-degree cubature rule along the axes of
curvature (I. Arasaratnam and S. Haykin, *Cubature Kalman filters*, 2009), with more modes
the same rule or that of Gauss and Hermite along the widest axes of each; every point is
reweighted by the likelihood itself.
*/

use super::prior::{SIZE, Vector};
use super::search::{Matrix, Search};
use crate::drift::class::rates::QUADRATURE_POINTS;
use crate::drift::class::rates::QuadraturePoint;
use nalgebra::SymmetricEigen;

/// A direction further than this below the best mode in log posterior is not believed.
const NEARLY: f64 = 4.0;
/// What a search may yet gain from the highest point found along a direction.
const REACH: f64 = 6.0;
/// Steps of the log variance in which the mode of a direction is looked for.
const COARSE: f64 = 1.3;
const FINE: f64 = 0.3;
/// Places of drift and wander among the log variances.
const DRIFT: usize = 0;
const WANDER: usize = 1;
/// What the quadratic of another mode counts to within this in log posterior is not counted twice.
const COUNTED: f64 = 1.0;

/// A mode of the log posterior.
#[derive(Debug, Clone)]
pub(crate) struct Mode {
    pub at: Vector,
    pub curvature: Matrix,
    pub posterior: f64,
}

/// Axes of a mode, the widest first: each its direction times its standard deviation.
struct Axes([Vector; SIZE]);

impl Search<'_> {
    /// The best mode and the other explanations that are nearly as likely, at most three.
    pub(crate) fn modes(&self, best: Mode) -> Vec<Mode> {
        let calm = self.prior.calm();
        let mut modes = vec![best];
        for axis in 0..SIZE {
            let others = modes[0].at.zip_map(&calm, f64::min);
            let (start, height) = self.highest_along(others, axis);
            if height < modes[0].posterior - NEARLY - REACH {
                continue;
            }
            // Held, since all of it is one ridge where readings are few, without a top for each.
            let held: Vec<usize> = [DRIFT, WANDER].into_iter().filter(|o| *o != axis).collect();
            let (at, curvature) = self.maximise_holding(start, &held);
            let [posterior] = self.posterior(&[at]);
            let counted = |other: &Mode| self.counts(other, &at) > posterior - COUNTED;
            if posterior > modes[0].posterior - NEARLY && !modes.iter().any(counted) {
                modes.push(Mode {
                    at,
                    curvature,
                    posterior,
                });
            }
        }
        modes.sort_by(|a, b| b.posterior.total_cmp(&a.posterior));
        modes.truncate(3);
        modes
    }

    /// Log posterior at a point by the quadratic of `mode`.
    fn counts(&self, mode: &Mode, at: &Vector) -> f64 {
        let off = at - mode.at;
        let along = |axis: &Vector| (off.dot(axis) / axis.norm_squared()).powi(2);
        let (Axes(axes), _) = self.axes(&mode.curvature);
        mode.posterior - 0.5 * axes.iter().map(along).sum::<f64>()
    }

    /// The highest point along one log variance, the others as in `from`: a coarse look from
    /// where a search begins on, and a fine one about what it found.
    fn highest_along(&self, from: Vector, axis: usize) -> (Vector, f64) {
        let mut best = (from, f64::NEG_INFINITY);
        let mut look = |start: f64, step: f64| {
            let points: [Vector; 8] = std::array::from_fn(|i| {
                let mut point = from;
                point[axis] = start + step * i as f64;
                point
            });
            for (point, height) in points.into_iter().zip(self.posterior(&points)) {
                if height > best.1 {
                    best = (point, height);
                }
            }
            best.0[axis]
        };
        let about = look(self.prior.calm()[axis], COARSE);
        look(about - 3.5 * FINE, FINE);
        best
    }

    /// Plausible sets of rates with their weights, around the modes.
    pub(crate) fn quadrature_points(&self, modes: &[Mode]) -> [QuadraturePoint; QUADRATURE_POINTS] {
        let highest = modes.first().map_or(0.0, |mode| mode.posterior);
        // Log weight of each point before its likelihood, and what its likelihood is
        // expected to lose by the quadratic.
        let mut points: Vec<(Vector, f64, f64)> = Vec::with_capacity(QUADRATURE_POINTS);
        for mode in modes {
            let (axes, log_volume) = self.axes(&mode.curvature);
            let weight = mode.posterior - highest + log_volume;
            match modes.len() {
                1 => points.extend(cubature(mode, &axes, 4, weight)),
                2 => points.extend(cubature(mode, &axes, 2, weight)),
                _ => points.extend(hermite(mode, &axes, weight)),
            }
        }
        let mode = modes.first().map_or(self.prior.centre, |mode| mode.at);
        points.resize(QUADRATURE_POINTS, (mode, f64::NEG_INFINITY, 0.0));
        let at: [Vector; QUADRATURE_POINTS] = std::array::from_fn(|i| points[i].0);
        let found = self.passes(&at);
        let most = points.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
        let mut quadrature_points: [QuadraturePoint; QUADRATURE_POINTS] =
            std::array::from_fn(|i| {
                let (_, weight, expected) = points[i];
                let gain = (found[i].0 - expected).clamp(-20.0, 1.0);
                let weight = (weight - most + gain).exp();
                let weight = if weight.is_nan() { 0.0 } else { weight };
                self.quadrature_point(&at[i], &found[i].1, weight)
            });
        let sum: f64 = quadrature_points.iter().map(|point| point.weight).sum();
        if sum < 1e-6 {
            quadrature_points[QUADRATURE_POINTS - 1].weight = 1.0;
            return quadrature_points;
        }
        for point in &mut quadrature_points {
            point.weight /= sum;
        }
        quadrature_points
    }

    /// Log of the volume under `mode`, its height counted in (Laplace's approximation).
    pub(crate) fn log_volume(&self, mode: &Mode) -> f64 {
        mode.posterior + self.axes(&mode.curvature).1
    }

    /// Axes of curvature, the widest first, and the log of the volume they span.
    fn axes(&self, curvature: &Matrix) -> (Axes, f64) {
        // The prior alone gives each axis its own curvature; less is an artefact of
        // the quadratic.
        let least = 1.0 / self.prior.width.component_mul(&self.prior.width).max();
        let eigen = SymmetricEigen::new(*curvature);
        let mut order: [usize; SIZE] = std::array::from_fn(|i| i);
        order.sort_by(|&a, &b| eigen.eigenvalues[a].total_cmp(&eigen.eigenvalues[b]));
        let width = |i: usize| 1.0 / eigen.eigenvalues[i].max(least).sqrt();
        let axes = order.map(|i| eigen.eigenvectors.column(i) * width(i));
        (Axes(axes), (0..SIZE).map(|i| width(i).ln()).sum())
    }
}

/// Points at √n standard deviations along the `n` widest axes.
fn cubature(mode: &Mode, axes: &Axes, n: usize, weight: f64) -> Vec<(Vector, f64, f64)> {
    let reach = (n as f64).sqrt();
    let (each, expected) = (
        weight - (2.0 * n as f64).ln(),
        mode.posterior - 0.5 * n as f64,
    );
    let both = |axis: &Vector| [mode.at + axis * reach, mode.at - axis * reach];
    let points = axes.0[..n].iter().flat_map(both);
    points.map(|point| (point, each, expected)).collect()
}

/// The mode itself and the points at √3 standard deviations along its widest axis.
fn hermite(mode: &Mode, axes: &Axes, weight: f64) -> [(Vector, f64, f64); 3] {
    let reach = axes.0[0] * 3f64.sqrt();
    let side = |point| (point, weight - 6f64.ln(), mode.posterior - 1.5);
    [
        (mode.at, weight + (2.0 / 3.0f64).ln(), mode.posterior),
        side(mode.at + reach),
        side(mode.at - reach),
    ]
}
