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
    /// None withdraws the instrument: it is out of use until it has been set right and calibrated.
    fn plan(&mut self, logbook: &Logbook, visits: &[Visit<'_>]) -> Vec<Option<f64>>;
}

/// What one instrument cost and how it was found.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Tally {
    /// Calibrations made.
    pub calibrations: u32,
    /// Years in use and out of tolerance, whether anybody knew or not.
    pub years_out: f64,
    /// Calibrations of an instrument that was in use until then.
    pub checks: u32,
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
    let mut standings = vec![Standing::new(settings.first_interval_years); count];
    for (i, subject) in world.subjects.iter().enumerate() {
        let first = subject.error[0] + subject.luck[0].found;
        logbook.note(i, 0.0, first, None, subject.stated_u);
    }
    let mut visits = Vec::new();
    for moment in 1..settings.moments() {
        let now = moment as f64 * settings.step();
        visits.clear();
        for (i, (subject, standing)) in world.subjects.iter().zip(&mut standings).enumerate() {
            let error = subject.error[moment] + standing.shift;
            standing.serve(error, settings.step());
            if standing.due > now + SAME_MOMENT {
                continue;
            }
            let left = standing.calibrate(fleet, subject, moment);
            let found = error + subject.luck[moment].found;
            logbook.note(i, now, found, left, subject.stated_u);
            visits.push(Visit {
                instrument: i,
                now,
                true_error: subject.error[moment] + standing.shift,
                true_drift: subject.drift[moment],
                subject,
            });
        }
        if visits.is_empty() {
            continue;
        }
        let intervals = planner.plan(&logbook, &visits);
        for (visit, interval) in visits.iter().zip(intervals) {
            let years =
                interval.map(|years| years.clamp(settings.shortest_years, settings.longest_years));
            if let Some(years) = years {
                logbook.set_interval(visit.instrument, years);
            }
            let ahead = years.map(|years| years + visit.subject.luck[moment].late);
            standings[visit.instrument].follow(now, ahead, settings.step());
        }
    }
    let tallies = standings.iter().map(|standing| standing.tally);
    (logbook, tallies.collect())
}

/// How one instrument stands between two calibrations.
#[derive(Debug, Clone, Copy)]
struct Standing {
    /// When it is calibrated next, years since the start.
    due: f64,
    /// Out of use until then.
    withdrawn: bool,
    /// What adjustments have added to its error.
    shift: f64,
    tally: Tally,
}

impl Standing {
    fn new(due: f64) -> Self {
        Standing {
            due,
            withdrawn: false,
            shift: 0.0,
            tally: Tally::default(),
        }
    }

    /// Serves for `years` with that true error, unless it is out of use.
    fn serve(&mut self, error: f64, years: f64) {
        if error.abs() > 1.0 && !self.withdrawn {
            self.tally.years_out += years;
        }
    }

    /// Is calibrated, and adjusted where the reading asks for it or it has been withdrawn; the
    /// reading as left, if any.
    fn calibrate(
        &mut self,
        fleet: &FleetSettings,
        subject: &Subject,
        moment: usize,
    ) -> Option<f64> {
        let (luck, error) = (subject.luck[moment], subject.error[moment] + self.shift);
        self.tally.calibrations += 1;
        if !self.withdrawn {
            self.tally.check(error);
        }
        let adjust = match fleet.adjustment.when {
            _ if self.withdrawn => true,
            Adjust::Never => false,
            Adjust::Always => true,
            Adjust::Beyond => (error + luck.found).abs() > fleet.adjustment.beyond,
        };
        adjust.then(|| {
            self.shift = luck.residual - subject.error[moment];
            luck.residual + luck.left
        })
    }

    /// Takes what was planned at `now`: years to the next calibration, or none, which withdraws it. What is
    /// withdrawn is seen to one `step` later, and the interval in force waits for that.
    fn follow(&mut self, now: f64, ahead: Option<f64>, step: f64) {
        self.withdrawn = ahead.is_none();
        self.due = now + ahead.unwrap_or(step);
    }
}

impl Tally {
    /// Counts a check of an instrument in use with that true error.
    fn check(&mut self, error: f64) {
        let inside = u32::from(error.abs() <= 1.0);
        self.checks += 1;
        self.truly_in += inside;
        if self.calibrations > SETTLING_DECISIONS {
            self.settled += 1;
            self.settled_in += inside;
        }
    }
}
