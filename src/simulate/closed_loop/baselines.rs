/*! What methods are measured against: never changing the interval, and knowing everything. */

use super::live::{Planner, Visit};
use super::logbook::Logbook;
use super::settings::LoopSettings;
use crate::stats::cumulative;

/// The first interval for ever.
#[derive(Debug, Clone, Copy)]
pub(crate) struct NeverChange;

impl Planner for NeverChange {
    fn plan(&mut self, logbook: &Logbook, visits: &[Visit<'_>]) -> Vec<Option<f64>> {
        visits
            .iter()
            .map(|visit| Some(logbook.interval(visit.instrument)))
            .collect()
    }
}

/// How much a planner with perfect knowledge is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Knowledge {
    /// The nature of each instrument: drift, wander, rate of jumps, ageing; its error
    /// only through the readings, as every laboratory.
    Nature,
    /// Its true error at each calibration too.
    Everything,
}

/// Knows what each instrument is like, and only its future not: the least expected
/// cost from there.
#[derive(Debug, Clone)]
pub(crate) struct PerfectKnowledge {
    knowledge: Knowledge,
    cost: f64,
    cost_out: f64,
    step: f64,
    shortest: usize,
    longest: usize,
    levels: Vec<Level>,
}

/// What the readings say of the error of one instrument whose nature is known.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Level {
    at: f64,
    error: f64,
    variance: f64,
    drift: f64,
}

/// A reading further than this many standard deviations off is a jump.
const JUMP_DEVIATIONS: f64 = 4.0;

impl PerfectKnowledge {
    pub(crate) fn new(settings: &LoopSettings, fleet: usize, knowledge: Knowledge) -> Self {
        let step = settings.step();
        PerfectKnowledge {
            knowledge,
            cost: settings.fleet[fleet].cost,
            cost_out: settings.fleet[fleet].cost_out_of_tolerance,
            step,
            shortest: (settings.shortest_years / step).round().max(1.0) as usize,
            longest: (settings.longest_years / step).round() as usize,
            levels: Vec::new(),
        }
    }

    /// The error after this visit, as far as it is known.
    fn level(&mut self, logbook: &Logbook, visit: &Visit<'_>) -> Level {
        let i = visit.instrument;
        let history = logbook.history(i);
        let noise = visit.subject.u * visit.subject.u;
        if self.levels.len() <= i {
            self.levels.resize(i + 1, NOT_SEEN);
        }
        if self.levels[i] == NOT_SEEN {
            self.levels[i] = Level {
                at: 0.0,
                error: history.as_found[0],
                variance: noise,
                drift: visit.subject.nature.drift,
            };
        }
        let last = history.len() - 1;
        let mut level = self.levels[i].after(visit);
        level.read(history.as_found[last], noise);
        if !history.as_left[last].is_nan() {
            (level.error, level.variance) = (history.as_left[last], noise);
        }
        if self.knowledge == Knowledge::Everything {
            (level.error, level.variance) = (visit.true_error, 0.0);
        }
        self.levels[i] = level;
        level
    }

    fn best(&self, visit: &Visit<'_>, level: &Level) -> f64 {
        let (mut best, mut least, mut out) = (self.step, f64::INFINITY, 0.0);
        for moment in 1..=self.longest {
            let ahead = moment as f64 * self.step;
            out += self.step * (1.0 - probability_in(visit, level, ahead));
            let cost = (self.cost + self.cost_out * out) / ahead;
            if moment >= self.shortest && cost < least {
                (best, least) = (ahead, cost);
            }
        }
        best
    }
}

const NOT_SEEN: Level = Level {
    at: -1.0,
    error: 0.0,
    variance: 0.0,
    drift: 0.0,
};

impl Level {
    /// Moved on to the visit, by the known nature and the known drifts at both ends.
    fn after(self, visit: &Visit<'_>) -> Level {
        let nature = &visit.subject.nature;
        let years = visit.now - self.at;
        let drift = 0.5 * (self.drift + visit.true_drift);
        let turning = nature.turning.powi(2) * years.powi(3) / 12.0;
        Level {
            at: visit.now,
            error: self.error + drift * years + nature.change(self.at, years),
            variance: self.variance + nature.wander.powi(2) * years + turning,
            drift: visit.true_drift,
        }
    }

    /// Learns from a reading; a reading too far off starts the level anew.
    fn read(&mut self, reading: f64, noise: f64) {
        let off = reading - self.error;
        let spread = self.variance + noise;
        if off * off > JUMP_DEVIATIONS.powi(2) * spread {
            (self.error, self.variance) = (reading, noise);
            return;
        }
        let gain = self.variance / spread.max(f64::MIN_POSITIVE);
        self.error += gain * off;
        self.variance *= 1.0 - gain;
    }
}

impl Planner for PerfectKnowledge {
    fn plan(&mut self, logbook: &Logbook, visits: &[Visit<'_>]) -> Vec<Option<f64>> {
        let plan = |visit| {
            let level = self.level(logbook, visit);
            Some(self.best(visit, &level))
        };
        visits.iter().map(plan).collect()
    }
}

/// Probability that the error is in tolerance `ahead` years after the visit.
///
/// Up to two jumps are followed; more than two count as out of tolerance.
fn probability_in(visit: &Visit<'_>, level: &Level, ahead: f64) -> f64 {
    let nature = &visit.subject.nature;
    let mean = level.error + level.drift * ahead + nature.change(visit.now, ahead);
    let moved = nature.wander.powi(2) * ahead + nature.turning.powi(2) * ahead.powi(3) / 3.0;
    let deviation = (level.variance + moved).sqrt().max(1e-9);
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
