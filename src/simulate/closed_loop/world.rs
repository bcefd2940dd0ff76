/*! One class of instruments and all its chance, drawn before any method acts.

The motion of an error does not depend on adjustments, which only shift it. So
one path of each instrument, and the luck of each possible check, serve every
method alike: differences between methods are then those of the methods.
*/

use super::super::life::Noise;
use super::super::seeds::stream;
use super::super::truth::{Living, Nature};
use super::settings::LoopSettings;
use rand_distr::{Distribution as _, StandardNormal};

/// Purposes of the streams of one instrument.
const NATURE: u64 = 0;
const PATH: u64 = 1;
const LUCK: u64 = 2;

/// What would befall a check at one moment.
#[derive(Debug, Clone, Copy)]
pub(super) struct Luck {
    /// Error of the reading as found.
    pub found: f64,
    /// Error of the reading as left.
    pub left: f64,
    /// True error an adjustment would leave.
    pub residual: f64,
    /// Years the next check comes late.
    pub late: f64,
}

/// One instrument: truth and luck at every moment.
#[derive(Debug, Clone)]
pub struct Subject {
    /// What it is like.
    pub nature: Nature,
    /// True standard uncertainty of its readings.
    pub u: f64,
    /// Standard uncertainty its record states.
    pub stated_u: f64,
    /// Error without any adjustment, at every moment.
    pub(super) error: Vec<f64>,
    /// Drift at every moment, per year.
    pub(super) drift: Vec<f64>,
    pub(super) luck: Vec<Luck>,
}

/// One class.
#[derive(Debug, Clone)]
pub(crate) struct World {
    /// Number of the fleet in the settings.
    pub fleet: usize,
    /// Its instruments.
    pub subjects: Vec<Subject>,
}

impl World {
    /// Class number `class` of `instruments` of one fleet.
    pub(crate) fn new(
        settings: &LoopSettings,
        fleet: usize,
        instruments: usize,
        class: usize,
    ) -> Self {
        let subjects = (0..instruments)
            .map(|number| {
                let path = [fleet, instruments, class, number].map(|part| part as u64);
                subject(settings, fleet, &path)
            })
            .collect();
        World { fleet, subjects }
    }
}

fn subject(settings: &LoopSettings, fleet: usize, path: &[u64; 4]) -> Subject {
    let fleet = &settings.fleet[fleet];
    let purpose = |purpose| {
        stream(
            settings.seed,
            &[path[0], path[1], path[2], path[3], purpose],
        )
    };
    let mut natures = purpose(NATURE);
    let nature = Nature::draw(&fleet.truth, &mut natures);
    let u = fleet.reading.u.draw(&mut natures).abs();
    let stated_u = u * fleet.reading.stated.draw(&mut natures).abs();
    let (mut motion, mut chances) = (purpose(PATH), purpose(LUCK));
    let noise = Noise::new(u, fleet.reading.tail);
    let residual_start: f64 = StandardNormal.sample(&mut natures);
    let mut living = Living::new(nature);
    living.adjust(living.error() + fleet.adjustment.residual * residual_start);
    let moments = settings.moments();
    let (mut error, mut drift) = (Vec::with_capacity(moments), Vec::with_capacity(moments));
    let mut luck = Vec::with_capacity(moments);
    for moment in 0..moments {
        if moment > 0 {
            living.advance(settings.step(), &mut motion);
        }
        error.push(living.error());
        drift.push(living.drift);
        let standard: f64 = StandardNormal.sample(&mut chances);
        luck.push(Luck {
            found: noise.draw(&mut chances),
            left: noise.draw(&mut chances),
            residual: fleet.adjustment.residual * standard,
            late: fleet.schedule.late_days.draw(&mut chances) / crate::records::DAYS_PER_YEAR,
        });
    }
    Subject {
        nature,
        u,
        stated_u,
        error,
        drift,
        luck,
    }
}
