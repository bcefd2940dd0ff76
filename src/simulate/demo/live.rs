/*! One instrument of the demo lives: it drifts, wanders, is checked and adjusted. */

use super::member::{Member, Twist};
use crate::records::{DAYS_PER_YEAR, Event};
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64Mcg;

/// The demo's as-of date 2026-06-30, in days since 1970-01-01.
pub(super) const AS_OF_DAY: f64 = 20_634.0;

/// An item is adjusted when a calibration finds it beyond this share of its tolerance.
const ADJUST_BEYOND: f64 = 0.75;
/// Standard deviation of the error left by an adjustment, in tolerances.
const LEFT_BY_ADJUSTMENT: f64 = 0.06;
/// A new drift drawn after an anneal, repair or replacement, in the kind's deviations.
const NEW_DRIFT: f64 = 0.6;
/// Checks come early or late by up to this share of the interval.
const LATENESS: f64 = 0.08;

/// One check as it will be written; the error in the member's unit.
#[derive(Debug, Clone)]
pub(super) struct Check<'a> {
    /// Point checked.
    pub point: &'a str,
    /// Days since 1970-01-01.
    pub day: f64,
    /// Error as found.
    pub found: f64,
    /// Error as left where something was done.
    pub left: Option<f64>,
    /// What was done.
    pub event: Event,
    /// Cycles of use so far.
    pub usage: f64,
    /// Calibration, or a check between calibrations.
    pub calibration: bool,
}

/// A member and all its checks, points in order, dates ascending.
#[derive(Debug)]
pub(super) struct Life<'a> {
    /// Who.
    pub member: &'a Member,
    pub checks: Vec<Check<'a>>,
}

/// State of one point of an instrument, in tolerances.
struct Truth {
    error: f64,
    drift: f64,
    wander: f64,
    deviation: f64,
}

/// Lets one member live on its own stream of random numbers, so that changing
/// one life leaves all others as they are.
pub(super) fn live(member: &Member, seed: u64) -> Life<'_> {
    let kind_number = member
        .kind
        .prefix
        .bytes()
        .fold(0, |sum, b| sum * 256 + u64::from(b));
    let mut random = Pcg64Mcg::seed_from_u64(seed ^ (kind_number << 32) ^ member.number);
    let days = check_days(member, &mut random);
    let usage = counter(member, &days, &mut random);
    let mut checks = Vec::new();
    for point in member.points() {
        let first = checks.len();
        live_point(member, &days, &mut random, &mut checks);
        for (check, cycles) in checks[first..].iter_mut().zip(&usage) {
            (check.point, check.usage) = (point, *cycles);
        }
    }
    Life { member, checks }
}

/// Days of the checks, the last one `idle` days before the as-of date.
fn check_days(member: &Member, random: &mut Pcg64Mcg) -> Vec<f64> {
    let last = AS_OF_DAY - member.idle;
    (0..member.checks)
        .map(|i| {
            let late = LATENESS * member.every * random.random_range(-1.0..1.0);
            let planned = last - (member.checks - 1 - i) as f64 * member.every;
            let to_the_day = i + 1 == member.checks || member.is_check_standard().is_some();
            let late = if to_the_day { 0.0 } else { late };
            working_day((planned + late).round())
        })
        .collect()
}

/// The same day, or the Friday before a weekend (1970-01-01 was a Thursday).
fn working_day(day: f64) -> f64 {
    match day.rem_euclid(7.0) as i64 {
        2 => day - 1.0,
        3 => day - 2.0,
        _ => day,
    }
}

/// Counter of use on the days of the checks; all points share it.
fn counter(member: &Member, days: &[f64], random: &mut Pcg64Mcg) -> Vec<f64> {
    let rate = member.kind.use_per_year * random.random_range(0.6..1.4);
    let mut cycles = rate * random.random_range(0.0..1.0);
    let mut earlier = days.first().copied().unwrap_or_default();
    let mut count = |&day: &f64| {
        cycles += rate * (day - earlier) / DAYS_PER_YEAR * random.random_range(0.7..1.3);
        earlier = day;
        cycles.round()
    };
    days.iter().map(&mut count).collect()
}

fn live_point(member: &Member, days: &[f64], random: &mut Pcg64Mcg, checks: &mut Vec<Check>) {
    let kind = member.kind;
    let mut truth = Truth {
        error: LEFT_BY_ADJUSTMENT * normal(random),
        drift: 0.0,
        wander: member.wander.unwrap_or(kind.wander / kind.tolerance),
        deviation: kind.drift / kind.tolerance,
    };
    let drawn = truth.deviation * normal(random);
    truth.drift = member
        .drift
        .map_or(drawn, |drift| drift * (1.0 + 0.1 * normal(random)));
    for (i, &day) in days.iter().enumerate() {
        if i > 0 {
            let years = (day - days[i - 1]) / DAYS_PER_YEAR;
            truth.error += truth.drift * years + truth.wander * years.sqrt() * normal(random);
        }
        let from_end = days.len() - 1 - i;
        let calibration = from_end >= member.since
            && (from_end - member.since).is_multiple_of(member.between + 1);
        checks.push(check_once(member, &mut truth, i, day, calibration, random));
    }
}

/// Reads the item as found, acts on it, reads it as left.
fn check_once(
    member: &Member,
    truth: &mut Truth,
    i: usize,
    day: f64,
    calibration: bool,
    random: &mut Pcg64Mcg,
) -> Check<'static> {
    let (tolerance, noise) = (member.kind.tolerance, member.kind.u / member.kind.tolerance);
    let (mut event, mut blunder, mut swing) = (Event::None, 0.0, 0.0);
    for twist in &member.twists {
        match *twist {
            Twist::Anneal(at) if at == i => event = Event::Annealed,
            Twist::Repair(at) if at == i => event = Event::Repaired,
            Twist::Replace(at) if at == i => event = Event::Replaced,
            Twist::Shock(at, by) if at == i => {
                event = Event::Shocked;
                truth.error += by;
            }
            Twist::Step(at, by) if at == i => truth.error += by,
            Twist::Outlier(at, by) if at == i => blunder = by,
            Twist::Annual(amplitude) => {
                swing = amplitude * (std::f64::consts::TAU * day / DAYS_PER_YEAR).sin();
            }
            _ => {}
        }
    }
    let found = truth.error + swing + blunder + noise * normal(random);
    let may_adjust = calibration && !member.has(Twist::NeverAdjusted);
    if event == Event::None && may_adjust && found.abs() > ADJUST_BEYOND {
        event = Event::Adjusted;
    }
    let reset = event.restarts_level() && event != Event::Shocked;
    if reset {
        truth.error = LEFT_BY_ADJUSTMENT * normal(random);
    }
    if event.restarts_drift() && event != Event::Shocked {
        truth.drift = NEW_DRIFT * truth.deviation * normal(random);
    }
    let left = reset.then(|| tolerance * (truth.error + swing + noise * normal(random)));
    Check {
        point: "",
        day,
        found: tolerance * found,
        left,
        event,
        usage: 0.0,
        calibration,
    }
}

fn normal(random: &mut Pcg64Mcg) -> f64 {
    StandardNormal.sample(random)
}
