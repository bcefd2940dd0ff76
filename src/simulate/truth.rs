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

/// Declares the truth of a fleet, each quantity once: its settings, and what is drawn of them for one instrument. Behind
/// the default stands what bounds the drawn value.
macro_rules! truth {
    ($( $(#[doc = $doc:literal])* $key:ident = $default:literal $(, $bounded:ident)?; )*) => {
        crate::settings! {
            /// How the errors of a fleet move, in half widths of the tolerance and years.
            pub struct TruthSettings in "fleet.truth" {
                $( $(#[doc = $doc])* $key: Distribution = $default.into(), )*
            }
        }

        impl TruthSettings {
            /// The distributions by key, in declaration order.
            pub(crate) fn distributions(&self) -> [(&'static str, &Distribution); [$(stringify!($key)),*].len()] {
                [$((stringify!($key), &self.$key)),*]
            }
        }

        /// What one instrument is like: the drawn values of [`TruthSettings`].
        #[derive(Debug, Clone, Copy, PartialEq)]
        #[allow(missing_docs)]
        pub struct Nature {
            $( pub $key: f64, )*
            /// Phase of the season, radians.
            pub phase: f64,
        }

        impl Nature {
            /// Draws one instrument's nature.
            pub(crate) fn draw(settings: &TruthSettings, stream: &mut Stream) -> Self {
                Nature {
                    $( $key: {
                        let drawn = settings.$key.draw(stream);
                        $( let drawn = $bounded(drawn); )?
                        drawn
                    }, )*
                    phase: TAU * stream.random::<f64>(),
                }
            }
        }
    };
}

truth! {
    /// Error at the start.
    start = 0.0;
    /// Steady drift per year.
    drift = 0.0;
    /// Random walk of the error, per √year.
    wander = 0.0, size;
    /// Random walk of the drift, per year per √year.
    turning = 0.0, size;
    /// Sudden jumps per year.
    jump_rate = 0.0, rate;
    /// Size of a jump; its sign is as likely plus as minus.
    jump_size = 0.0;
    /// Amplitude of a yearly swing; its phase is drawn.
    season = 0.0;
    /// Whole change by an ageing that slows down.
    ageing = 0.0;
    /// Time constant of that ageing, years, above 0.
    ageing_years = 3.0, duration;
    /// Acceleration once worn, per year².
    wear = 0.0;
    /// Age at which wear sets in, years.
    wear_onset = 5.0;
    /// Sudden failures per year.
    failure_rate = 0.0, rate;
    /// Size of a failure; its sign is as likely plus as minus.
    failure_size = 3.0;
}

fn size(drawn: f64) -> f64 {
    drawn.abs()
}

fn rate(drawn: f64) -> f64 {
    drawn.max(0.0)
}

fn duration(drawn: f64) -> f64 {
    drawn.max(f64::MIN_POSITIVE)
}

impl Nature {
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
