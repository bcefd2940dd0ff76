/*! Parameters of one class: where the search for them starts, and which top it keeps.

The likelihood of a class can have several tops: a turning drift may pass for wander and
steps, ageing for a drift that differs. So the climb starts at the priors, then again from
places with less wander, more turning, and drifts that fade or grow; the highest top wins,
a fading or growing drift only by a margin.
*/

use super::classes::ClassParameters;
use super::classes_count::{Count, count, scatter, surprises};
use super::classes_sample::Sample;
use super::classes_search::{Matrix, Search, Vector};
use super::classes_tops::Top;
use super::own_scatter::OwnScatter;
use rayon::prelude::*;

/// Another start has less wander (in log variance), and more turning or a fading drift.
const CALMER: f64 = -2.3;
const TURNING_MORE: f64 = 5.0;
/// Shares of the drift that may fade a year (half gone after seven, two and one years) or,
/// below zero, grow as wear does (doubled after seven and three and a half years).
const DAMPINGS: [f64; 5] = [-0.2, -0.1, 0.1, 0.3, 0.8];
/// Gain in log posterior from which drifts are believed to fade or grow.
const DAMPING_MARGIN: f64 = 4.0;
/// A climb that ends this far below the best in log posterior is not finished.
const HOPE: f64 = 3.0;

/// Parameters of the class behind `sample`.
pub(super) fn fit_class(sample: &Sample) -> ClassParameters {
    let mut search = Search::new(sample);
    let mut top = Top {
        at: search.prior.centre,
        curvature: Matrix::from_diagonal(&search.prior.width.map(|width| 1.0 / (width * width))),
        posterior: 0.0,
    };
    let mut count = Count::default();
    if !sample.data.is_empty() {
        let mut best = search.settle(top.at);
        let climbed = search
            .other_starts(&best.at)
            .map(|(damping, start)| (search.damped(damping), start));
        let climbed = climbed.into_par_iter().map(|(other, start)| {
            let (reached, _) = other.climb(start);
            let [posterior] = other.posterior(&[reached]);
            (other, reached, posterior)
        });
        // In the order of the starts, whichever climb ended first.
        for (mut other, reached, posterior) in climbed.collect::<Vec<_>>() {
            if posterior < best.posterior - HOPE {
                continue;
            }
            let found = other.settle(reached);
            let margin = if other.damping != 0.0 {
                DAMPING_MARGIN
            } else {
                0.0
            };
            if found.posterior > best.posterior + margin {
                (best, search) = (found, other);
            }
        }
        // About the mean drift and with the surprises that were found.
        [best.posterior] = search.posterior(&[best.at]);
        (top, count) = (best.top(), best.count);
    }
    let rates = search.rates(&top.at);
    let own_scatter = OwnScatter::of(&scatter(sample, &rates, &search.surprises));
    let tops = search.tops(top);
    ClassParameters {
        rates,
        nodes: search.nodes(&tops),
        unstated_noise: sample.unstated_noise,
        own_scatter,
        swing: sample.swing,
        surprises: search.surprises,
        scale: sample.scale,
        pace: sample.pace,
        members: sample.members,
        informed: sample.informed,
        before: None,
        steps: count.meaning.step,
        pooled: None,
    }
}

/// Where one climb ended.
struct Settled {
    at: Vector,
    curvature: Matrix,
    posterior: f64,
    count: Count,
}

impl Settled {
    fn top(&self) -> Top {
        Top {
            at: self.at,
            curvature: self.curvature,
            posterior: self.posterior,
        }
    }
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
            settled.count = count(self.sample, &self.rates(&settled.at), &self.surprises);
            self.surprises = surprises(self.sample.scale, &settled.count);
        }
        settled
    }

    /// Where else the climb may start, with the damping there: the likelihood can have
    /// further tops, such as a turning drift taken for wander and steps.
    fn other_starts(&self, from: &Vector) -> [(f64, Vector); 3] {
        let calmer = from + Vector::new(0.0, CALMER, 0.0, 0.0);
        let turning = calmer + Vector::new(0.0, 0.0, TURNING_MORE, 0.0);
        let looked_at: Vec<[f64; 2]> = DAMPINGS
            .par_iter()
            .map(|damping| self.damped(*damping).posterior(&[calmer, turning]))
            .collect();
        let mut likeliest = [(f64::NEG_INFINITY, 0.0); 2];
        for (damping, posteriors) in DAMPINGS.into_iter().zip(looked_at) {
            for (best, posterior) in likeliest.iter_mut().zip(posteriors) {
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
}
