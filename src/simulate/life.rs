/*! One instrument of a fleet lives, is checked, read and adjusted until the as-of date. */

use super::seeds::{Stream, stream};
use super::settings::{Adjust, FleetSettings, SimulationSettings};
use super::truth::{Living, Nature};
use crate::records::DAYS_PER_YEAR;
use rand::RngExt;
use rand_distr::{Distribution as _, StandardNormal, StudentT};

/// Purposes of the streams of one instrument: a change in one leaves the others alone.
const NATURE: u64 = 0;
const LIFE: u64 = 1;
pub(super) const RECORD: u64 = 2;

/// Shortest time between two checks, days.
const SHORTEST_GAP_DAYS: f64 = 1.0;

/// One check as it truly was, errors in half widths of the tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct TrueCheck {
    /// Days since 1970-01-01, whole.
    pub day: f64,
    /// True error before anything was done.
    pub error: f64,
    /// Reading as found.
    pub found: f64,
    /// Reading as left, where it was adjusted.
    pub left: Option<f64>,
    /// Calibration, or a check between calibrations.
    pub calibration: bool,
}

/// One instrument, with what only a simulation knows.
#[derive(Debug, Clone)]
pub(crate) struct TrueLife {
    /// What it is like.
    pub nature: Nature,
    /// True standard uncertainty of its readings.
    pub u: f64,
    /// Standard uncertainty its record states.
    pub stated_u: f64,
    /// Error all its readings share.
    pub common_error: f64,
    /// Days between its checks, as planned.
    pub interval_days: f64,
    /// Its checks, oldest first.
    pub checks: Vec<TrueCheck>,
    /// The instrument on the as-of date.
    pub living: Living,
}

/// Scatter of readings: normal, or heavy-tailed with the same standard deviation.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Noise {
    deviation: f64,
    heavy: Option<(StudentT<f64>, f64)>,
}

impl Noise {
    /// Readings of standard uncertainty `u`; `tail` = 0 normal, else degrees of freedom above 2.
    pub(crate) fn new(u: f64, tail: f64) -> Self {
        let scale = ((tail - 2.0) / tail).sqrt();
        let heavy = (tail > 2.0).then(|| StudentT::new(tail).ok()).flatten();
        Noise {
            deviation: u,
            heavy: heavy.map(|student| (student, scale)),
        }
    }

    /// One reading's error.
    pub(crate) fn draw(&self, stream: &mut Stream) -> f64 {
        let unit: f64 = match self.heavy {
            Some((student, scale)) => scale * student.sample(stream),
            None => StandardNormal.sample(stream),
        };
        self.deviation * unit
    }
}

/// Lets instrument `number` of fleet `fleet_number` live until `as_of` (days since 1970-01-01).
pub(crate) fn live(
    settings: &SimulationSettings,
    fleet_number: usize,
    number: u64,
    as_of: f64,
) -> TrueLife {
    let fleet = &settings.fleet[fleet_number];
    let path = |purpose| stream(settings.seed, &[fleet_number as u64, number, purpose]);
    let mut nature_stream = path(NATURE);
    let nature = Nature::draw(&fleet.truth, &mut nature_stream);
    let u = fleet.reading.u.draw(&mut nature_stream).abs();
    let stated_u = u * fleet.reading.stated.draw(&mut nature_stream).abs();
    let interval_days = fleet.schedule.interval_days.draw(&mut nature_stream);
    let standard: f64 = StandardNormal.sample(&mut nature_stream);
    let mut life = TrueLife {
        nature,
        u,
        stated_u,
        common_error: fleet.reading.u_common * standard,
        interval_days: interval_days.max(SHORTEST_GAP_DAYS),
        checks: Vec::new(),
        living: Living::new(nature),
    };
    live_on(fleet, &mut life, as_of, &mut path(LIFE));
    life
}

fn live_on(fleet: &FleetSettings, life: &mut TrueLife, as_of: f64, stream: &mut Stream) {
    let noise = Noise::new(life.u, fleet.reading.tail);
    let born = as_of - fleet.years * DAYS_PER_YEAR;
    let mut planned = born + life.interval_days * stream.random::<f64>();
    let mut now = planned.round();
    let (mut since, mut number) = (now, 0u64);
    while now <= as_of {
        life.living.advance((now - since) / DAYS_PER_YEAR, stream);
        since = now;
        let missed = number > 0 && chance(fleet.schedule.missed, stream);
        if !missed {
            let calibration = number.is_multiple_of(fleet.schedule.checks_between + 1);
            let check = check(fleet, life, now, calibration, &noise, stream);
            life.checks.push(check);
        }
        number += 1;
        planned += life.interval_days;
        let late = fleet.schedule.late_days.draw(stream);
        now = (planned + late).round().max(since + SHORTEST_GAP_DAYS);
    }
    life.living
        .advance((as_of - since).max(0.0) / DAYS_PER_YEAR, stream);
}

fn check(
    fleet: &FleetSettings,
    life: &mut TrueLife,
    day: f64,
    calibration: bool,
    noise: &Noise,
    stream: &mut Stream,
) -> TrueCheck {
    let error = life.living.error();
    let found = error + life.common_error + noise.draw(stream);
    let wanted = match fleet.adjustment.when {
        Adjust::Never => false,
        Adjust::Always => true,
        Adjust::Beyond => found.abs() > fleet.adjustment.beyond,
    };
    let adjust = calibration && wanted && !chance(fleet.adjustment.forgotten, stream);
    let left = adjust.then(|| {
        // The laboratory brings the reading near zero: it cannot see the shared error.
        let residual: f64 = StandardNormal.sample(stream);
        let left = fleet.adjustment.residual * residual;
        life.living.adjust(left - life.common_error);
        left + noise.draw(stream)
    });
    TrueCheck {
        day,
        error,
        found,
        left,
        calibration,
    }
}

/// True with the given probability; draws nothing where it cannot happen.
pub(super) fn chance(probability: f64, stream: &mut Stream) -> bool {
    probability > 0.0 && stream.random::<f64>() < probability
}
