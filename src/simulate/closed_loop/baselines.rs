/*! What methods are measured against: never changing the interval, and knowing everything. */

use super::live::{Planner, Visit};
use super::logbook::Logbook;
use super::settings::LoopSettings;
use crate::stats::cumulative;

/// The first interval for ever.
#[derive(Debug, Clone, Copy)]
pub struct NeverChange;

impl Planner for NeverChange {
    fn plan(&mut self, logbook: &Logbook, visits: &[Visit<'_>]) -> Vec<f64> {
        visits
            .iter()
            .map(|visit| logbook.interval(visit.instrument))
            .collect()
    }
}

/// The same interval for every instrument, years.
#[derive(Debug, Clone, Copy)]
pub struct Constant(pub f64);

impl Planner for Constant {
    fn plan(&mut self, _: &Logbook, visits: &[Visit<'_>]) -> Vec<f64> {
        vec![self.0; visits.len()]
    }
}

/// Knows each instrument's nature, error and drift exactly, and only the future
/// not: the least expected cost from there.
#[derive(Debug, Clone)]
pub struct PerfectKnowledge {
    cost: f64,
    cost_out: f64,
    step: f64,
    shortest: usize,
    longest: usize,
}

impl PerfectKnowledge {
    /// For one fleet of the settings.
    pub fn new(settings: &LoopSettings, fleet: usize) -> Self {
        let step = settings.step();
        PerfectKnowledge {
            cost: settings.fleet[fleet].cost,
            cost_out: settings.fleet[fleet].cost_out_of_tolerance,
            step,
            shortest: (settings.shortest_years / step).round().max(1.0) as usize,
            longest: (settings.longest_years / step).round() as usize,
        }
    }

    fn best(&self, visit: &Visit<'_>) -> f64 {
        let (mut best, mut least, mut out) = (self.step, f64::INFINITY, 0.0);
        for moment in 1..=self.longest {
            let ahead = moment as f64 * self.step;
            out += self.step * (1.0 - probability_in(visit, ahead));
            let cost = (self.cost + self.cost_out * out) / ahead;
            if moment >= self.shortest && cost < least {
                (best, least) = (ahead, cost);
            }
        }
        best
    }
}

impl Planner for PerfectKnowledge {
    fn plan(&mut self, _: &Logbook, visits: &[Visit<'_>]) -> Vec<f64> {
        visits.iter().map(|visit| self.best(visit)).collect()
    }
}

/// Probability that the error is in tolerance `ahead` years after the visit.
///
/// Up to two jumps are followed; more than two count as out of tolerance.
fn probability_in(visit: &Visit<'_>, ahead: f64) -> f64 {
    let nature = &visit.subject.nature;
    let mean = visit.true_error + visit.true_drift * ahead + nature.change(visit.now, ahead);
    let variance = nature.wander.powi(2) * ahead + nature.turning.powi(2) * ahead.powi(3) / 3.0;
    let deviation = variance.sqrt().max(1e-9);
    let inside = |shift: f64| {
        let below = |limit: f64| cumulative((limit - mean - shift) / deviation, f64::INFINITY);
        below(1.0) - below(-1.0)
    };
    let expected = nature.jump_rate * ahead;
    let failures = (-nature.failure_rate * ahead).exp();
    if expected == 0.0 {
        return failures * inside(0.0);
    }
    let size = nature.jump_size;
    let one = 0.5 * (inside(size) + inside(-size));
    let two = 0.5 * inside(0.0) + 0.25 * (inside(2.0 * size) + inside(-2.0 * size));
    failures * (-expected).exp() * (inside(0.0) + expected * one + 0.5 * expected * expected * two)
}
