/*! The program's own methods and its decisions as planners: the very functions a run calls.

What a class lends is fitted anew once a year from all checks made by then, as
a laboratory's yearly review does; each instrument's own history counts at once.
*/

use super::super::group_evidence::group_evidence;
use super::super::replay::prefix;
use super::live::{Planner, Visit, life};
use super::logbook::{Logbook, day_of};
use super::own_line;
use super::settings::LoopSettings;
use super::{Candidate, NeverChange, World};
use crate::decisions::DecisionTables;
use crate::decisions::policy::{Action, Decision, PolicySettings};
use crate::decisions::procedure::{Procedure, Subject};
use crate::decisions::small_class::{NoneKnown, SmallClass, members_of_small};
use crate::drift::class::classes::{Classes, class_parameters};
use crate::drift::state::fit::fit_state;
use crate::drift::{DriftSettings, Fit, ModelName, fit_history, fit_model};
use crate::intervals::{EvidenceByGroup, Method, MethodName};
use crate::records::{DAYS_PER_YEAR, History};
use crate::reliability::ReliabilitySettings;

/// Years between two fits of what the classes lend.
const REVIEW_YEARS: f64 = 1.0;

/// Methods that look at the forecast; for the others no drift is fitted.
const FORECASTING: [MethodName; 3] = [
    MethodName::DriftCrossing,
    MethodName::LeastCost,
    MethodName::UncertaintyGrowth,
];

/// One method alone, or the whole procedure from several to a decision.
pub(crate) struct ProductPlanner {
    drift: DriftSettings,
    tables: DecisionTables,
    methods: Vec<Box<dyn Method>>,
    by_policy: bool,
    /// Some method looks at the forecast.
    forecasts: bool,
    classes: Classes,
    /// The classes are known from earlier instruments and learn nothing more.
    classes_given: bool,
    groups: EvidenceByGroup,
    next_review: f64,
}

impl ProductPlanner {
    /// The methods that `tables` lists; `by_policy` decides as a run does, otherwise
    /// the first method's proposal is followed as it stands.
    pub(crate) fn new(drift: DriftSettings, tables: DecisionTables, by_policy: bool) -> Self {
        let looks = |name: &MethodName| FORECASTING.contains(name);
        ProductPlanner {
            forecasts: by_policy || tables.intervals.methods.iter().any(looks),
            drift,
            methods: tables.methods(),
            tables,
            by_policy,
            classes: Classes::default(),
            classes_given: false,
            groups: EvidenceByGroup::default(),
            next_review: 0.0,
        }
    }

    /// The same with the class known from its first day, from earlier instruments that are all of one class.
    fn with_classes(mut self, earlier: Classes) -> Self {
        self.classes = earlier;
        self.classes_given = true;
        self
    }

    /// Learns anew what the classes lend, where a year has passed since it last did.
    pub(super) fn review(&mut self, logbook: &Logbook, now: f64) {
        if now < self.next_review {
            return;
        }
        let histories = logbook.histories();
        if self.forecasts && !self.classes_given {
            self.classes = class_parameters(&histories, &self.drift);
        }
        let reliability = ReliabilitySettings::default();
        self.groups = group_evidence(&histories, &self.tables, &reliability);
        self.next_review = now + REVIEW_YEARS;
    }

    fn interval(&self, logbook: &Logbook, visit: &Visit<'_>) -> Option<f64> {
        let days = match self.by_policy {
            true => self.decided(logbook, visit)?,
            false => self.proposed(logbook, visit),
        };
        Some(days / DAYS_PER_YEAR)
    }

    /// What the whole procedure decides, days; none of what it withdraws.
    fn decided(&self, logbook: &Logbook, visit: &Visit<'_>) -> Option<f64> {
        let decision = self.decision(logbook, visit);
        (decision.action != Action::Withdraw).then_some(decision.interval_days)
    }

    /// What the first method proposes, days; the interval in use where it proposes nothing.
    fn proposed(&self, logbook: &Logbook, visit: &Visit<'_>) -> f64 {
        let history = logbook.history(visit.instrument);
        let fit = match self.forecasts {
            true => {
                let member = if self.classes_given {
                    0
                } else {
                    visit.instrument
                };
                let class = self.classes.of_history(member);
                fit_state(&history, class, &self.drift)
            }
            false => fit_nothing(&history, &self.drift),
        };
        let evidence = self.procedure(visit).evidence(history, &fit);
        let group = self.groups.lent_to(&history);
        let first = self.methods.first();
        let days = first.and_then(|method| method.propose(&evidence, group).interval_days);
        days.unwrap_or(evidence.current_interval)
    }

    /// What a run on that day would decide.
    pub(super) fn decision(&self, logbook: &Logbook, visit: &Visit<'_>) -> Decision {
        self.decision_by(&self.tables, logbook, visit)
    }

    /// The same under other settings, by the same methods and classes.
    pub(super) fn decision_by(
        &self,
        tables: &DecisionTables,
        logbook: &Logbook,
        visit: &Visit<'_>,
    ) -> Decision {
        let (index, of) = (visit.instrument, &self.classes.of);
        let history = logbook.history(index);
        let class = self.classes.of_history(index);
        let small_class = || {
            members_of_small(of, index)?;
            SmallClass::of(&logbook.histories(), of, index, f64::INFINITY)
        };
        let subject = Subject {
            index,
            history,
            fit: &fit_model(&history, class, &self.drift),
            class,
            group: self.groups.lent_to(&history),
            past: &[],
            small_class: &small_class,
            points: &Vec::new,
            withdrawn: &|| None,
        };
        let procedure = Procedure {
            tables,
            ..self.procedure(visit)
        };
        procedure.decide(&subject).1
    }

    fn procedure(&self, visit: &Visit<'_>) -> Procedure<'_> {
        Procedure {
            methods: &self.methods,
            tables: &self.tables,
            drift: &self.drift,
            thermometry: None,
            closings: None,
            controls: None,
            known: &NoneKnown,
            as_of: day_of(visit.now),
        }
    }
}

/// The fit of a history without readings, for methods that do not look at it.
fn fit_nothing(history: &History<'_>, drift: &DriftSettings) -> Fit {
    fit_history(&prefix(history, history.item, 0), drift, ModelName::Line)
}

impl Planner for ProductPlanner {
    fn plan(&mut self, logbook: &Logbook, visits: &[Visit<'_>]) -> Vec<Option<f64>> {
        if let Some(first) = visits.first() {
            self.review(logbook, first.now);
        }
        visits
            .iter()
            .map(|visit| self.interval(logbook, visit))
            .collect()
    }
}

/// One method followed as it stands.
pub(crate) fn method(name: MethodName) -> Candidate {
    Candidate::new(name.words(), move |settings: &LoopSettings, _| {
        ProductPlanner::new(
            DriftSettings::default(),
            settings.interval_tables(vec![name]),
            false,
        )
    })
}

/// Instruments that lived before the class and teach what it is like.
pub(crate) const ELDERS: usize = 200;

/// One method that is told from its first day what elder instruments of the class showed under
/// yearly checks: what its rule alone costs, once nothing is left to learn but each instrument.
fn told_method(name: MethodName) -> Candidate {
    let words = format!("{}, class known", name.words());
    Candidate::prepared(words, move |settings: &LoopSettings, fleet| {
        let world = World::new(settings, fleet, ELDERS, usize::MAX);
        let (earlier_fleet, _) = life(settings, &world, &mut NeverChange);
        let taught = class_parameters(&earlier_fleet.histories(), &DriftSettings::default());
        let tables = settings.interval_tables(vec![name]);
        move || {
            let fresh = ProductPlanner::new(DriftSettings::default(), tables.clone(), false);
            fresh.with_classes(taught.clone())
        }
    })
}

/// The policy with its default settings over `methods`.
pub(crate) fn policy(name: &str, methods: Vec<MethodName>) -> Candidate {
    decided(name, methods, cases_closed())
}

/// The policy of a laboratory that keeps a book of cases and closes each when the item is set right.
fn cases_closed() -> PolicySettings {
    PolicySettings {
        checks_after_failure: 0,
        ..PolicySettings::default()
    }
}

/// What is decided with `policy` over `methods`.
pub(super) fn decided(
    name: impl Into<String>,
    methods: Vec<MethodName>,
    policy: PolicySettings,
) -> Candidate {
    Candidate::new(name, move |settings: &LoopSettings, _| {
        let mut tables = settings.interval_tables(methods.clone());
        tables.policy = policy.clone();
        ProductPlanner::new(DriftSettings::default(), tables, true)
    })
}

/// Methods that these fleets can feed: no use is counted, no checks are made between
/// calibrations, and no largest uncertainty is set.
const FED: [MethodName; 9] = [
    MethodName::DriftCrossing,
    MethodName::LeastCost,
    MethodName::Staircase,
    MethodName::ControlChart,
    MethodName::SimpleResponse,
    MethodName::IncrementalResponse,
    MethodName::IntervalTest,
    MethodName::Reliability,
    MethodName::GroupRegression,
];

/// Every method these fleets can feed, the line of an item's own readings, the policy by cost and by target, the forecast's two
/// with the class known, and never changing.
pub fn candidates() -> Vec<Candidate> {
    let by_cost = vec![MethodName::LeastCost, MethodName::DriftCrossing];
    let mut all = vec![
        policy("policy, least cost", by_cost),
        policy("policy, target", vec![MethodName::DriftCrossing]),
    ];
    all.extend(FED.map(method));
    all.extend(own_line::candidates());
    all.extend([MethodName::LeastCost, MethodName::DriftCrossing].map(told_method));
    all.push(Candidate::new("never change", |_: &LoopSettings, _| {
        super::NeverChange
    }));
    all
}
