/*! One class lives under one planner: checks fall due, are made, and the next interval is set. */

use super::super::settings::{Adjust, FleetSettings};
use super::logbook::Logbook;
use super::settings::LoopSettings;
use super::world::{Subject, World};

/// Due dates and moments are compared with this slack, years: half a minute.
const SAME_MOMENT: f64 = 1e-6;
/// Decisions of an instrument before its reliability counts.
const SETTLING_DECISIONS: u32 = 3;

/// One calibration, just made and written down.
#[derive(Debug, Clone, Copy)]
pub struct Visit<'a> {
    /// Number of the instrument in its class.
    pub instrument: usize,
    /// Years since the start.
    pub now: f64,
    /// True error left: for a planner with perfect knowledge alone.
    pub true_error: f64,
    /// True drift now: for a planner with perfect knowledge alone.
    pub true_drift: f64,
    /// The truth: for a planner with perfect knowledge alone.
    pub subject: &'a Subject,
}

/// What sets intervals.
pub trait Planner {
    /// Next interval of each visited instrument, years; the loop keeps it within bounds.
    fn plan(&mut self, logbook: &Logbook, visits: &[Visit<'_>]) -> Vec<f64>;
}

/// What one instrument cost and how it was found.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Tally {
    /// Calibrations made.
    pub calibrations: u32,
    /// Years out of tolerance, whether anybody knew or not.
    pub years_out: f64,
    /// Checks whose true error was in tolerance.
    pub truly_in: u32,
    /// Checks after the third decision.
    pub settled: u32,
    /// Of those, checks whose true error was in tolerance.
    pub settled_in: u32,
}

/// Lets the class live; one tally an instrument.
pub(crate) fn live(
    settings: &LoopSettings,
    world: &World,
    planner: &mut dyn Planner,
) -> Vec<Tally> {
    life(settings, world, planner).1
}

/// Lets the class live: its records, and one tally an instrument.
pub(crate) fn life(
    settings: &LoopSettings,
    world: &World,
    planner: &mut dyn Planner,
) -> (Logbook, Vec<Tally>) {
    let fleet = &settings.fleet[world.fleet];
    let count = world.subjects.len();
    let mut logbook = Logbook::new(settings, fleet, count);
    let mut tallies = vec![Tally::default(); count];
    let mut shift = vec![0.0; count];
    let mut due = vec![settings.first_interval_years; count];
    for (i, subject) in world.subjects.iter().enumerate() {
        let first = subject.error[0] + subject.luck[0].found;
        logbook.note(i, 0.0, first, None, subject.stated_u);
    }
    let mut visits = Vec::new();
    for moment in 1..settings.moments() {
        let now = moment as f64 * settings.step();
        visits.clear();
        for (i, subject) in world.subjects.iter().enumerate() {
            let error = subject.error[moment] + shift[i];
            tallies[i].years_out += f64::from(u8::from(error.abs() > 1.0)) * settings.step();
            if due[i] > now + SAME_MOMENT {
                continue;
            }
            count_check(&mut tallies[i], error);
            let left = calibrate(fleet, subject, moment, error, &mut shift[i]);
            let found = error + subject.luck[moment].found;
            logbook.note(i, now, found, left, subject.stated_u);
            visits.push(Visit {
                instrument: i,
                now,
                true_error: subject.error[moment] + shift[i],
                true_drift: subject.drift[moment],
                subject,
            });
        }
        if visits.is_empty() {
            continue;
        }
        let intervals = planner.plan(&logbook, &visits);
        for (visit, interval) in visits.iter().zip(intervals) {
            let interval = interval.clamp(settings.shortest_years, settings.longest_years);
            logbook.set_interval(visit.instrument, interval);
            due[visit.instrument] = now + interval + visit.subject.luck[moment].late;
        }
    }
    (logbook, tallies)
}

fn count_check(tally: &mut Tally, error: f64) {
    let inside = u32::from(error.abs() <= 1.0);
    tally.calibrations += 1;
    tally.truly_in += inside;
    if tally.calibrations > SETTLING_DECISIONS {
        tally.settled += 1;
        tally.settled_in += inside;
    }
}

/// Adjusts where the reading asks for it; the reading as left, if any.
fn calibrate(
    fleet: &FleetSettings,
    subject: &Subject,
    moment: usize,
    error: f64,
    shift: &mut f64,
) -> Option<f64> {
    let luck = subject.luck[moment];
    let adjust = match fleet.adjustment.when {
        Adjust::Never => false,
        Adjust::Always => true,
        Adjust::Beyond => (error + luck.found).abs() > fleet.adjustment.beyond,
    };
    adjust.then(|| {
        *shift = luck.residual - subject.error[moment];
        luck.residual + luck.left
    })
}
