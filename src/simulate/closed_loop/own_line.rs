/*! Published practice as planners: the straight line through an item's own readings.

Ordinary least squares of one item (NIST/SEMATECH e-Handbook, chapter 4), its prediction taken
for the forecast, and the interval either the longest that keeps the target or the cheapest.
Nothing is lent by a class.
*/

use super::Candidate;
use super::live::{Planner, Visit};
use super::logbook::{Logbook, day_of};
use super::settings::LoopSettings;
use crate::decisions::DecisionTables;
use crate::drift::{DriftSettings, ModelName, fit_history};
use crate::intervals::{Evidence, GroupEvidence, Method, MethodName};
use crate::records::{DAYS_PER_YEAR, History};

/// Readings of the line that forgets.
const LATEST: usize = 8;

/// One rule on the line of an item's own readings.
struct OwnLine {
    drift: DriftSettings,
    tables: DecisionTables,
    rules: Vec<Box<dyn Method>>,
    /// Checks that the line goes through; all where there is no number.
    latest: Option<usize>,
}

impl OwnLine {
    /// The rule's interval, years; the one in use where no line can be drawn yet.
    fn interval(&self, history: History<'_>, now: f64) -> f64 {
        let seen = self.latest.map_or(history, |rows| history.last(rows));
        let fit = fit_history(&seen, &self.drift, ModelName::Line);
        let drift = (self.drift.axis, self.drift.level);
        let evidence = Evidence::new(history, &fit, &self.tables.intervals, drift, day_of(now));
        let alone = GroupEvidence::default();
        let proposals = self
            .rules
            .iter()
            .map(|rule| rule.propose(&evidence, &alone));
        let days = proposals
            .filter_map(|proposal| proposal.interval_days)
            .next();
        days.unwrap_or(evidence.current_interval) / DAYS_PER_YEAR
    }
}

impl Planner for OwnLine {
    fn plan(&mut self, logbook: &Logbook, visits: &[Visit<'_>]) -> Vec<Option<f64>> {
        let plan = |visit: &Visit<'_>| {
            let history = logbook.history(visit.instrument);
            Some(self.interval(history, visit.now))
        };
        visits.iter().map(plan).collect()
    }
}

/// The names of [`candidates`], with the readings and the rule of each.
const CANDIDATES: [(&str, Option<usize>, MethodName); 4] = [
    ("own line, target", None, MethodName::DriftCrossing),
    ("own line, least cost", None, MethodName::LeastCost),
    (
        "own line of eight, target",
        Some(LATEST),
        MethodName::DriftCrossing,
    ),
    (
        "own line of eight, least cost",
        Some(LATEST),
        MethodName::LeastCost,
    ),
];

/// Their names in tables.
pub(crate) const NAMES: [&str; 4] = [
    CANDIDATES[0].0,
    CANDIDATES[1].0,
    CANDIDATES[2].0,
    CANDIDATES[3].0,
];

/// The line of all readings and of the last eight, by target and by cost.
pub(super) fn candidates() -> impl Iterator<Item = Candidate> {
    CANDIDATES.into_iter().map(|(name, latest, rule)| {
        Candidate::new(name, move |settings: &LoopSettings, _| {
            let tables = settings.interval_tables(vec![rule]);
            OwnLine {
                drift: DriftSettings::default(),
                rules: tables.methods(),
                tables,
                latest,
            }
        })
    })
}
