/*! What decisions promise, and whether it is kept: the probability in tolerance stated for the
due date against the truth on that date.

Instruments are checked at their first interval, as new ones are. After each of a few checks
the whole procedure decides, and the truth on the due date it sets is looked up; the
instrument then goes on as before, so that each check judges instruments of one age.
*/

use super::LoopSettings;
use super::live::{Planner, Visit, live};
use super::logbook::Logbook;
use super::product::ProductPlanner;
use super::world::World;
use crate::decisions::DecisionTables;
use crate::decisions::policy::{Action, Decision, StepRate};
use crate::drift::DriftSettings;
use crate::intervals::MethodName;
use crate::records::DAYS_PER_YEAR;
use rayon::prelude::*;

/// Numbers of checks after which decisions are judged.
pub(crate) const CHECKS: std::ops::RangeInclusive<usize> = 2..=5;

/// Decisions of one kind, class size and number of checks.
#[derive(Debug, Clone, Default)]
pub(crate) struct Promise {
    /// Kind of instrument.
    pub kind: String,
    /// Instruments in a class.
    pub class_size: usize,
    /// Checks known when deciding.
    pub checks: usize,
    /// Decisions that set an interval and state a probability.
    pub decided: Kept,
    /// Those of them that lengthen the interval in use.
    pub extended: Kept,
    /// Those that lengthen it where `[policy] step_rate` is "largest".
    pub bearing: Kept,
}

/// Sums over some decisions.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Kept {
    /// How many they are.
    pub count: usize,
    claimed: f64,
    inside: f64,
}

impl Kept {
    fn add(&mut self, claimed: f64, inside: bool) {
        self.count += 1;
        self.claimed += claimed;
        self.inside += f64::from(u8::from(inside));
    }

    fn join(&mut self, other: &Self) {
        self.count += other.count;
        self.claimed += other.claimed;
        self.inside += other.inside;
    }

    /// Mean probability stated for the due date; NaN where nothing was decided.
    pub(crate) fn claimed(&self) -> f64 {
        self.claimed / self.count as f64
    }

    /// Share in tolerance on the due date.
    pub(crate) fn inside(&self) -> f64 {
        self.inside / self.count as f64
    }

    /// Standard error of the share, instruments taken for independent.
    pub(crate) fn standard_error(&self) -> f64 {
        (self.inside() * (1.0 - self.inside()) / self.count as f64).sqrt()
    }
}

/// Looks on while a class is checked at its first interval.
struct Witness {
    settings: LoopSettings,
    planner: ProductPlanner,
    /// The settings under which an extension bears the largest rate of steps.
    bearing: DecisionTables,
    kept: Seen,
}

/// By number of checks, from the first of [`CHECKS`] on: all that set an interval, those that
/// extend, and those that extend where the largest rate of steps is borne.
type Seen = Vec<[Kept; 3]>;

/// The probability in tolerance that a decision states for the date it sets, if it does.
fn claimed(decision: &Decision) -> Option<f64> {
    let sets = [Action::Extend, Action::Keep, Action::Shorten].contains(&decision.action);
    let claimed = decision.probability_in_tolerance;
    (sets && !claimed.is_nan()).then_some(claimed)
}

impl Witness {
    /// Whether the instrument is in tolerance on the date that `decision` sets.
    fn inside(&self, visit: &Visit<'_>, decision: &Decision) -> bool {
        let due = visit.now + decision.interval_days / DAYS_PER_YEAR;
        let moment = |years: f64| (years / self.settings.step()).round() as usize;
        let path = &visit.subject.error;
        let error = visit.true_error + path[moment(due)] - path[moment(visit.now)];
        error.abs() <= 1.0
    }
}

impl Planner for Witness {
    fn plan(&mut self, logbook: &Logbook, visits: &[Visit<'_>]) -> Vec<Option<f64>> {
        let stays = self.settings.first_interval_years;
        for visit in visits {
            let checks = logbook.history(visit.instrument).len();
            let Some(place) = CHECKS.clone().position(|number| number == checks) else {
                continue;
            };
            self.planner.review(logbook, visit.now);
            let decision = self.planner.decision(logbook, visit);
            let bearing = self.planner.decision_by(&self.bearing, logbook, visit);
            let extends = |decision: &Decision| decision.action == Action::Extend;
            let counts = [true, extends(&decision), extends(&bearing)];
            for (kind, decision) in [&decision, &decision, &bearing].into_iter().enumerate() {
                if let Some(claimed) = claimed(decision).filter(|_| counts[kind]) {
                    let inside = self.inside(visit, decision);
                    self.kept[place][kind].add(claimed, inside);
                }
            }
        }
        vec![Some(stays); visits.len()]
    }
}

/// What the program's decisions by target promise and keep: class sizes, then kinds, then numbers
/// of checks.
pub(crate) fn promises(settings: &LoopSettings) -> Vec<Promise> {
    // Lived long enough for the last decision's due date.
    let mut settings = settings.clone();
    let last = *CHECKS.end() as f64 * settings.first_interval_years;
    settings.years = last + settings.longest_years;
    let sizes = settings.class_sizes.iter();
    let kinds = sizes.flat_map(|size| (0..settings.fleet.len()).map(move |fleet| (*size, fleet)));
    kinds
        .flat_map(|(size, fleet)| {
            let classes: Vec<Seen> = (0..size.classes)
                .into_par_iter()
                .map(|class| of_class(&settings, fleet, size.instruments, class))
                .collect();
            let name = &settings.fleet[fleet].name;
            let cells: Vec<Promise> = CHECKS
                .enumerate()
                .map(|(place, checks)| {
                    let mut promise = Promise {
                        kind: name.clone(),
                        class_size: size.instruments,
                        checks,
                        ..Promise::default()
                    };
                    for class in &classes {
                        let [decided, extended, bearing] = &class[place];
                        promise.decided.join(decided);
                        promise.extended.join(extended);
                        promise.bearing.join(bearing);
                    }
                    promise
                })
                .collect();
            cells
        })
        .collect()
}

fn of_class(settings: &LoopSettings, fleet: usize, instruments: usize, class: usize) -> Seen {
    let tables = settings.interval_tables(vec![MethodName::DriftCrossing]);
    let mut bearing = tables.clone();
    bearing.policy.step_rate = StepRate::Largest;
    let mut witness = Witness {
        settings: settings.clone(),
        planner: ProductPlanner::new(DriftSettings::default(), tables, true),
        bearing,
        kept: vec![Default::default(); CHECKS.count()],
    };
    let world = World::new(settings, fleet, instruments, class);
    live(settings, &world, &mut witness);
    witness.kept
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Items that hardly move: what is promised is kept, and two checks extend nothing.
    #[test]
    fn calm_items_keep_what_is_promised() {
        let settings = LoopSettings::from_toml(
            r#"
            class_sizes = [{ instruments = 6, classes = 2 }]
            [[fleet]]
            name = "calm"
            prefix = "CA"
            cost = 1.0
            cost_out_of_tolerance = 12.0
            "#,
        );
        let found = promises(&settings.unwrap());
        let counts: Vec<_> = found
            .iter()
            .map(|cell| (cell.checks, cell.decided.count))
            .collect();
        assert_eq!(counts, [(2, 12), (3, 12), (4, 12), (5, 12)]);
        assert_eq!(found[0].extended.count, 0);
        for cell in &found[1..] {
            assert!(cell.extended.count > 0 && cell.extended.claimed() >= 0.95);
            assert_eq!(cell.extended.inside(), 1.0);
            // Thirty item-years without a step bear a tenth of one a year: not a year more.
            assert_eq!(cell.bearing.count, 0);
        }
    }
}
