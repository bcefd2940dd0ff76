/*! Whether adjustments are missing in the record of a class: readings near a limit that fall back. */

use super::missing::{LEFT, Missing, log_likelihood};
use super::parameters::ClassParameters;
use super::rates::ClassScale;
use super::sample::{Datum, Sample};
use super::walk::{Expected, Observer, walk};
use crate::drift::series::join::Join;
use crate::drift::state::estimate::StateEstimate;
use crate::stats::{binomial_at_least, normal_above};

/// Shares of the limit from which items may have been adjusted.
const SHARES: [f64; 6] = [0.5, 0.6, 0.7, 0.8, 0.9, 1.0];

/// Fewest falls that say anything: one may be a repair, a slip of the pen or a step back.
const FEWEST: u64 = 2;

/// Probability of so many falls by the class's own forecasts above which they are chance (a sum
/// of unlike trials, whose upper tail the binomial one with their mean bounds from one above
/// the mean on: W. Hoeffding, Ann. Math. Statist. 27 (1956) 713).
const CHANCE: f64 = 0.05;

/// One reading and what followed.
struct Pair {
    /// Distance from where items are meant to be left, in half-widths of the tolerance.
    distance: f64,
    /// The next reading fell back.
    fallen: bool,
    /// Probability of that by the forecast.
    chance: f64,
}

impl Missing {
    /// What may be missing in the record of a class with rates as `found`: nothing where falls
    /// are not more than forecast, or no tolerance says what is near a limit.
    pub(crate) fn suspected(sample: &Sample, found: &ClassParameters) -> Vec<Self> {
        if sample.scale != ClassScale::Tolerance {
            return Vec::new();
        }
        let pairs = pairs(sample, found);
        let split = |from: f64| {
            let parts = [true, false].map(|beyond| {
                let part = pairs
                    .iter()
                    .filter(|pair| (pair.distance >= from) == beyond);
                part.fold((0.0, 0.0), |(n, k), pair| {
                    (n + 1.0, k + f64::from(pair.fallen))
                })
            });
            parts.map(|(n, k)| log_likelihood(k, n)).iter().sum::<f64>()
        };
        let best = |best: f64, from: f64| {
            if split(from) > split(best) {
                from
            } else {
                best
            }
        };
        let from = SHARES.into_iter().fold(SHARES[0], best);
        let near: Vec<&Pair> = pairs.iter().filter(|pair| pair.distance >= from).collect();
        let fallen = near.iter().filter(|pair| pair.fallen).count() as u64;
        let expected: f64 = near.iter().map(|pair| pair.chance).sum();
        let readings = near.len() as u64;
        let by_chance = || binomial_at_least(fallen, readings, expected / readings as f64);
        if fallen < FEWEST || (fallen as f64) < expected + 1.0 || by_chance() > CHANCE {
            return Vec::new();
        }
        let one = |every| Self {
            from,
            readings,
            fallen,
            expected,
            every,
            aim: sample.about.aim,
        };
        vec![one(false), one(true)]
    }
}

/// Every reading of the class that another of its segment follows, and to which those before it led: one that
/// stands alone rose and fell again in one reading each, as an outlying one does, and says nothing of an adjustment.
fn pairs(sample: &Sample, found: &ClassParameters) -> Vec<Pair> {
    let mut pairing = Pairing {
        found,
        aim: sample.about.aim,
        before: None,
        last: None,
        led: false,
        pairs: Vec::new(),
    };
    walk(&sample.data, &found.rates, &mut pairing);
    pairing.pairs
}

struct Pairing<'a> {
    found: &'a ClassParameters,
    aim: f64,
    /// The reading before, and this one; `None` where nobody read the level.
    before: Option<f64>,
    last: Option<f64>,
    /// The readings before the last one led to it: by their forecast most of its distance was there already.
    led: bool,
    pairs: Vec<Pair>,
}

impl Observer for Pairing<'_> {
    fn noise_of(&mut self, datum: &Datum) -> f64 {
        let read = (!datum.unread).then_some(datum.value);
        self.before = std::mem::replace(&mut self.last, read);
        if matches!(datum.join, Join::NewDrift | Join::NewLevel) {
            self.led = false;
        }
        datum.noise_with(&self.found.rates)
    }

    fn update(&mut self, expected: &Expected<'_>) -> StateEstimate {
        let aim = self.aim;
        let before = self.before.filter(|_| self.led);
        self.pairs.extend(before.map(|before| {
            let side = if before < aim { -1.0 } else { 1.0 };
            let distance = side * (before - aim);
            let limit = LEFT * distance;
            let error = side * (expected.predicted.error - aim);
            let spread = expected.variance().sqrt();
            Pair {
                distance,
                fallen: (expected.datum.value - aim).abs() < limit,
                chance: normal_above((error - limit) / spread)
                    - normal_above((error + limit) / spread),
            }
        }));
        let (value, forecast) = (expected.datum.value - aim, expected.predicted.error - aim);
        self.led = forecast * value.signum() >= LEFT * value.abs();
        expected.updated(&self.found.surprises)
    }
}
