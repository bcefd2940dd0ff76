/*! The likeliest explanation of a class's readings: where the search for it starts, and which mode it
keeps.

The likelihood of a class can have several modes: a turning drift may pass for wander and
steps, ageing for a drift that differs. So the search starts at the priors, then again from
places with less wander, more turning, and drifts that fade or grow; the highest mode wins,
a fading or growing drift only by a margin.
*/

use super::count::{Count, count, surprises};
use super::modes::Mode;
use super::prior::Vector;
use super::sample::Sample;
use super::search::{Matrix, Search};
use super::shared_u;
use crate::drift::state::recent_scatter::RecentScatter;
use rayon::prelude::*;

/// Another start has less wander (in log variance), and more turning or a fading drift.
const CALMER: f64 = -2.3;
const TURNING_MORE: f64 = 5.0;
/// Shares of the drift that may fade a year (half gone after seven, two and one years) or,
/// below zero, grow as wear does (doubled after seven and three and a half years).
const DAMPINGS: [f64; 5] = [-0.2, -0.1, 0.1, 0.3, 0.8];
/// Gain in log posterior from which drifts are believed to fade or grow.
const DAMPING_MARGIN: f64 = 4.0;
/// Shares of a stated variance that may be each reading's own, where the rest is shared.
const OWN_LOOKED_AT: [f64; 4] = [0.6, 0.3, 0.1, 0.02];
/// A search that ends this far below the best in log posterior is not finished.
const HOPE: f64 = 3.0;

/// The best mode found, with the search that found it.
pub(super) struct Explanation<'a> {
    pub search: Search<'a>,
    pub mode: Mode,
    pub seen: Count,
}

/// The likeliest explanation of the readings; u is shared by all checks only where readings
/// scatter too little for one that is not.
pub(super) fn explain(sample: &Sample) -> Explanation<'_> {
    let stated = Explanation::of(Search::new(sample));
    if !stated.hints_at_shared_u() {
        return stated;
    }
    let shared = Explanation::of(Search::new(sample).with_shared_u());
    match shared.evidence() > stated.evidence() + shared_u::MARGIN {
        true => shared,
        false => stated,
    }
}

impl<'a> Explanation<'a> {
    /// The best of the modes reached from several starts.
    fn of(mut search: Search<'a>) -> Self {
        let mut best = match search.sample.data.is_empty() {
            true => search.prior_alone(search.prior.centre),
            false => search.maximise_with_surprises(search.prior.calm()),
        };
        if search.sample.data.is_empty() {
            return Self::at(search, best);
        }
        let maximised = search
            .other_starts(&best.at)
            .map(|(damping, start)| (search.damped(damping), start));
        let maximised = maximised.into_par_iter().map(|(other, start)| {
            let (reached, _) = other.maximise(start);
            let [posterior] = other.posterior(&[reached]);
            (other, reached, posterior)
        });
        // In the order of the starts, whichever search ended first.
        for (mut other, reached, posterior) in maximised.collect::<Vec<_>>() {
            if posterior < best.posterior - HOPE {
                continue;
            }
            let found = other.maximise_with_surprises(reached);
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
        Self::at(search, best)
    }

    fn at(search: Search<'a>, best: Maximum) -> Self {
        Self {
            search,
            mode: best.mode(),
            seen: best.count,
        }
    }

    /// Log posterior without what was believed of the noise before.
    fn evidence(&self) -> f64 {
        let [evidence] = self.search.evidence(&[self.mode.at]);
        evidence
    }

    /// True where a u that is shared explains the readings better at once.
    fn hints_at_shared_u(&self) -> bool {
        let sample = self.search.sample;
        if !(sample.some_stated && sample.scatter_tells) || sample.data.is_empty() {
            return false;
        }
        let points: [Vector; 8] = std::array::from_fn(|i| {
            let mut point = self.mode.at;
            point[1] += (i % 2) as f64 * std::f64::consts::LN_2;
            point[3] = OWN_LOOKED_AT[i / 2].ln();
            point
        });
        let shared = self.search.with_shared_u().evidence(&points);
        shared
            .into_iter()
            .any(|evidence| evidence > self.evidence())
    }
}

/// Where one search ended.
struct Maximum {
    at: Vector,
    curvature: Matrix,
    posterior: f64,
    count: Count,
}

impl Maximum {
    fn mode(&self) -> Mode {
        Mode {
            at: self.at,
            curvature: self.curvature,
            posterior: self.posterior,
        }
    }
}

impl Search<'_> {
    /// Searches twice from `start`, the second time about the mean drift and with the
    /// surprises found by the first.
    fn maximise_with_surprises(&mut self, start: Vector) -> Maximum {
        let mut maximum = self.prior_alone(start);
        self.surprises = surprises(self.sample, &Count::default());
        for _ in 0..2 {
            (maximum.at, maximum.curvature) = self.maximise(maximum.at);
            let [(posterior, found)] = self.passes(&[maximum.at]);
            maximum.posterior = posterior;
            self.reference = self.mean_drift(&found).0;
            let steady = RecentScatter::default();
            maximum.count = count(
                self.sample,
                &self.rates(&maximum.at),
                &self.surprises,
                &steady,
            );
            self.surprises = surprises(self.sample, &maximum.count);
        }
        maximum
    }

    /// Nothing but what is believed before.
    fn prior_alone(&self, at: Vector) -> Maximum {
        Maximum {
            at,
            curvature: Matrix::from_diagonal(&self.prior.width.map(|width| 1.0 / (width * width))),
            posterior: 0.0,
            count: Count::default(),
        }
    }

    /// Where else the search may start, with the damping there: the likelihood can have
    /// further modes, such as a turning drift taken for wander and steps.
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
