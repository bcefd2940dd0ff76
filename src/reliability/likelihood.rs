/*! The one likelihood of all life models: lives seen only at checks.

ln L(θ) = Σ n·ln[R(after; θ) − R(before; θ)] with R(0) = 1 and R(∞) = 0. For single
checks this is Σ [g ln R + (n − g) ln(1 − R)], the current-status likelihood. Work
grows with the number of distinct times, not of outcomes.
*/

use super::models::{LifeModel, MOST_PARAMETERS};
use super::outcomes::Outcomes;
use crate::records::DAYS_PER_YEAR;

/// Records of a group, times in years, each distinct time once.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LifeData {
    times: Vec<f64>,
    terms: Vec<Term>,
    /// Number of lives.
    pub lives: f64,
    /// Number of lives that ended out of tolerance.
    pub failures: f64,
    /// Number of lives seen in tolerance at least once after renewal.
    pub seen_in: f64,
    /// Mean of the finite times, weighted by lives: the scale of the search, years.
    pub typical_time: f64,
    /// Failures per year of the roughest kind: failures over time under observation.
    pub rough_rate: f64,
}

/// One distinct record; indices into `times`, `None` where 0 or infinite.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Term {
    after: Option<u32>,
    before: Option<u32>,
    count: f64,
}

impl LifeData {
    /// The records of `outcomes`.
    pub(crate) fn new(outcomes: &Outcomes) -> Self {
        let mut times: Vec<f64> = outcomes
            .lives()
            .flat_map(|(after, before, _)| [after, before])
            .filter(|t| *t > 0.0 && t.is_finite())
            .collect();
        times.sort_by(f64::total_cmp);
        times.dedup();
        let index = |t: f64| times.binary_search_by(|x| x.total_cmp(&t)).ok();
        let term = |(after, before, count): (f64, f64, u64)| Term {
            after: index(after).map(|i| i as u32),
            before: index(before).map(|i| i as u32),
            count: count as f64,
        };
        let terms: Vec<Term> = outcomes.lives().map(term).collect();
        let years: Vec<f64> = times.iter().map(|t| t / DAYS_PER_YEAR).collect();
        Self::summarised(years, terms)
    }

    fn summarised(times: Vec<f64>, terms: Vec<Term>) -> Self {
        let time = |i: Option<u32>| i.map_or(f64::NAN, |i| times[i as usize]);
        let (mut lives, mut failures, mut seen_in) = (0.0, 0.0, 0.0);
        let (mut weighted, mut watched) = (0.0, 0.0);
        for term in &terms {
            let last = time(term.before.or(term.after));
            let first = term.after.map_or(0.0, |i| times[i as usize]);
            lives += term.count;
            seen_in += if term.after.is_some() {
                term.count
            } else {
                0.0
            };
            weighted += term.count * last;
            watched += term.count * 0.5 * (first + last);
            if term.before.is_some() {
                failures += term.count;
            } else {
                watched += term.count * 0.5 * (last - first);
            }
        }
        Self {
            typical_time: weighted / lives,
            rough_rate: failures / watched,
            times,
            terms,
            lives,
            failures,
            seen_in,
        }
    }

    /// The same records with neighbouring times joined, about `most` of them: for the
    /// search of a start. Lives that begin and end in one class are left out.
    pub(super) fn coarse(&self, most: usize) -> Self {
        let each = self.times.len().div_ceil(most.max(1));
        let mean = |class: &[f64]| class.iter().sum::<f64>() / class.len() as f64;
        let times: Vec<f64> = self.times.chunks(each).map(mean).collect();
        let class = |i: Option<u32>| i.map(|i| i / each as u32);
        let joined = |t: &Term| Term {
            after: class(t.after),
            before: class(t.before),
            count: t.count,
        };
        let apart = |t: &Term| t.after.is_none() || t.after != t.before;
        let mut terms: Vec<Term> = self.terms.iter().map(joined).filter(apart).collect();
        terms.sort_by_key(|t| (t.after, t.before));
        terms.dedup_by(|next, kept| {
            let same = (next.after, next.before) == (kept.after, kept.before);
            if same {
                kept.count += next.count;
            }
            same
        });
        Self::summarised(times, terms)
    }

    /// Number of distinct times.
    pub(crate) fn distinct_times(&self) -> usize {
        self.times.len()
    }

    /// ln L(θ); writes ∂ ln L/∂θ to `gradient`. −∞ where the records are impossible.
    pub(crate) fn ln_likelihood(
        &self,
        model: &dyn LifeModel,
        theta: &[f64],
        gradient: &mut [f64],
        scratch: &mut Scratch,
    ) -> f64 {
        scratch.evaluate(model, &self.times, theta);
        gradient.fill(0.0);
        let mut sum = 0.0;
        for term in &self.terms {
            let (value, by_after, by_before) = scratch.term(term);
            if !value.is_finite() {
                return f64::NEG_INFINITY;
            }
            sum += term.count * value;
            scratch.add(gradient, term.after, term.count * by_after);
            scratch.add(gradient, term.before, term.count * by_before);
        }
        sum
    }
}

/// Values of ln R and its gradient at each distinct time; reused between evaluations.
#[derive(Debug, Default)]
pub(crate) struct Scratch {
    ln_r: Vec<f64>,
    gradients: Vec<[f64; MOST_PARAMETERS]>,
}

impl Scratch {
    fn evaluate(&mut self, model: &dyn LifeModel, times: &[f64], theta: &[f64]) {
        self.ln_r.clear();
        self.gradients.clear();
        for t in times {
            let mut gradient = [0.0; MOST_PARAMETERS];
            self.ln_r
                .push(model.ln_reliability(*t, theta, &mut gradient));
            self.gradients.push(gradient);
        }
    }

    /// ln[R(after) − R(before)] and its slopes in ln R(after) and ln R(before).
    fn term(&self, term: &Term) -> (f64, f64, f64) {
        let at = |i: Option<u32>| i.map(|i| self.ln_r[i as usize]);
        match (at(term.after), at(term.before)) {
            (Some(after), None) => (after, 1.0, 0.0),
            (after, Some(before)) => {
                let after = after.unwrap_or(0.0);
                // ln(1 − e^δ) and e^δ/(1 − e^δ) by expm1, so that nothing cancels at high R.
                let fall = -(before - after).exp_m1();
                let odds = (1.0 - fall) / fall;
                (after + fall.ln(), 1.0 + odds, -odds)
            }
            (None, None) => (0.0, 0.0, 0.0),
        }
    }

    fn add(&self, gradient: &mut [f64], index: Option<u32>, weight: f64) {
        let Some(i) = index.filter(|_| weight != 0.0) else {
            return;
        };
        for (sum, slope) in gradient.iter_mut().zip(&self.gradients[i as usize]) {
            *sum += weight * slope;
        }
    }
}
