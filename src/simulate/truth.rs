/*! The truth of one instrument: how its error moves, and its state as it lives.

All quantities are in half widths of the tolerance (limits −1 and +1), times in
years. Between two moments the motion is drawn exactly, so that nothing depends
on a step size.
*/

use super::distribution::Distribution;
use super::seeds::Stream;
use rand::RngExt;
use rand_distr::{Distribution as _, Poisson, StandardNormal};
use std::f64::consts::TAU;

crate::settings! {
    /// How the errors of a fleet move, in half widths of the tolerance and years.
    pub struct TruthSettings in "fleet.truth" {
        /// Error at the start.
        start: Distribution = 0.0.into(),
        /// Steady drift per year.
        drift: Distribution = 0.0.into(),
        /// Random walk of the error, per √year.
        wander: Distribution = 0.0.into(),
        /// Random walk of the drift, per year per √year.
        turning: Distribution = 0.0.into(),
        /// Sudden jumps per year.
        jump_rate: Distribution = 0.0.into(),
        /// Size of a jump; its sign is as likely plus as minus.
        jump_size: Distribution = 0.0.into(),
        /// Amplitude of a yearly swing; its phase is drawn.
        season: Distribution = 0.0.into(),
        /// Whole change by an ageing that slows down.
        ageing: Distribution = 0.0.into(),
        /// Time constant of that ageing, years, above 0.
        ageing_years: Distribution = 3.0.into(),
        /// Acceleration once worn, per year².
        wear: Distribution = 0.0.into(),
        /// Age at which wear sets in, years.
        wear_onset: Distribution = 5.0.into(),
        /// Sudden failures per year.
        failure_rate: Distribution = 0.0.into(),
        /// Size of a failure; its sign is as likely plus as minus.
        failure_size: Distribution = 3.0.into(),
    }
}

impl TruthSettings {
    /// The distributions by key, in declaration order.
    pub(crate) fn distributions(&self) -> [(&'static str, &Distribution); 13] {
        [
            ("start", &self.start),
            ("drift", &self.drift),
            ("wander", &self.wander),
            ("turning", &self.turning),
            ("jump_rate", &self.jump_rate),
            ("jump_size", &self.jump_size),
            ("season", &self.season),
            ("ageing", &self.ageing),
            ("ageing_years", &self.ageing_years),
            ("wear", &self.wear),
            ("wear_onset", &self.wear_onset),
            ("failure_rate", &self.failure_rate),
            ("failure_size", &self.failure_size),
        ]
    }
}

/// What one instrument is like: the drawn values of [`TruthSettings`].
#[derive(Debug, Clone, Copy, PartialEq)]
#[allow(missing_docs)]
pub struct Nature {
    pub start: f64,
    pub drift: f64,
    pub wander: f64,
    pub turning: f64,
    pub jump_rate: f64,
    pub jump_size: f64,
    pub season: f64,
    /// Phase of the season, radians.
    pub phase: f64,
    pub ageing: f64,
    pub ageing_years: f64,
    pub wear: f64,
    pub wear_onset: f64,
    pub failure_rate: f64,
    pub failure_size: f64,
}

impl Nature {
    /// Draws one instrument's nature.
    pub(crate) fn draw(settings: &TruthSettings, stream: &mut Stream) -> Self {
        let mut draw = |distribution: &Distribution| distribution.draw(stream);
        Nature {
            start: draw(&settings.start),
            drift: draw(&settings.drift),
            wander: draw(&settings.wander).abs(),
            turning: draw(&settings.turning).abs(),
            jump_rate: draw(&settings.jump_rate).max(0.0),
            jump_size: draw(&settings.jump_size),
            season: draw(&settings.season),
            ageing: draw(&settings.ageing),
            ageing_years: draw(&settings.ageing_years).max(f64::MIN_POSITIVE),
            wear: draw(&settings.wear),
            wear_onset: draw(&settings.wear_onset),
            failure_rate: draw(&settings.failure_rate).max(0.0),
            failure_size: draw(&settings.failure_size),
            phase: TAU * stream.random::<f64>(),
        }
    }

    /// Change by ageing and wear from birth to `age`.
    fn aged(&self, age: f64) -> f64 {
        let slowing = if self.ageing == 0.0 {
            0.0
        } else {
            self.ageing * -(-age / self.ageing_years).exp_m1()
        };
        let worn = (age - self.wear_onset).max(0.0);
        slowing + 0.5 * self.wear * worn * worn
    }

    /// Change of the error that is certain from `age` to `age + ahead`: ageing, wear
    /// and season, not the drift.
    pub(crate) fn change(&self, age: f64, ahead: f64) -> f64 {
        let later = age + ahead;
        self.aged(later) - self.aged(age) + self.annual_term(later) - self.annual_term(age)
    }

    fn annual_term(&self, age: f64) -> f64 {
        if self.season == 0.0 {
            return 0.0;
        }
        self.season * (TAU * age + self.phase).sin()
    }
}

/// One living instrument.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Living {
    /// What it is like.
    pub nature: Nature,
    /// Age, years.
    pub age: f64,
    /// Drift now, per year: the nature's, and what turning has added.
    pub drift: f64,
    /// Jumps and failures so far.
    pub jumps: u32,
    level: f64,
}

impl Living {
    /// A new instrument.
    pub(crate) fn new(nature: Nature) -> Self {
        Living {
            nature,
            age: 0.0,
            drift: nature.drift,
            jumps: 0,
            level: nature.start - nature.annual_term(0.0),
        }
    }

    /// True error now.
    pub(crate) fn error(&self) -> f64 {
        self.level + self.nature.annual_term(self.age)
    }

    /// Adjusts the instrument so that its error now is `left`; its motion goes on.
    pub(crate) fn adjust(&mut self, left: f64) {
        self.level = left - self.nature.annual_term(self.age);
    }

    /// Lives on for `years`.
    pub(crate) fn advance(&mut self, years: f64, stream: &mut Stream) {
        let nature = &self.nature;
        let mut normal = || -> f64 { StandardNormal.sample(stream) };
        self.level += self.drift * years + nature.aged(self.age + years) - nature.aged(self.age);
        if nature.wander > 0.0 {
            self.level += nature.wander * years.sqrt() * normal();
        }
        if nature.turning > 0.0 {
            // The increment of a random walk and of its integral have correlation √3/2.
            let (z, independent) = (normal(), normal());
            self.drift += nature.turning * years.sqrt() * z;
            self.level += nature.turning * years.powf(1.5) * (0.5 * z + independent / 12f64.sqrt());
        }
        self.level += self.sudden(nature.jump_rate * years, nature.jump_size, stream);
        self.level += self.sudden(
            self.nature.failure_rate * years,
            self.nature.failure_size,
            stream,
        );
        self.age += years;
    }

    /// Sum of the sudden changes that fall into a span with `expected` of them.
    fn sudden(&mut self, expected: f64, size: f64, stream: &mut Stream) -> f64 {
        if expected <= 0.0 {
            return 0.0;
        }
        let count = Poisson::new(expected).map_or(0.0, |poisson| poisson.sample(stream)) as u32;
        self.jumps += count;
        (0..count)
            .map(|_| if stream.random::<bool>() { size } else { -size })
            .sum()
    }
}

#[cfg(test)]
#[path = "truth_tests.rs"]
mod tests;
