/*! The record of conformity of each history: its last check by the decision rule, what the
measurement is capable of, and the risks over the class it comes from. */

use super::conformity_now::LastCheck;
use super::stage::DecisionStage;
use crate::conformity::{
    DecisionRule, GlobalRisks, NoPopulation, Population, global_risks, guard_for_risk,
};
use crate::records::{Histories, Tolerance};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Risks over the class for one tolerance and one uncertainty of the reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ClassRisks {
    /// With true errors as a normal distribution.
    pub normal: GlobalRisks,
    /// With the class's own errors.
    pub empirical: GlobalRisks,
    /// Consumer's and producer's risk over what the class leaves open of its mean and spread.
    pub limits: [(f64, f64); 2],
    /// Guard band in U that meets the stated consumer's risk; `None` where none does.
    pub guard_factor: Option<f64>,
}

/// What is recorded of the last check of one history.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Record {
    /// History.
    pub index: usize,
    /// The last check by the rule.
    pub last: LastCheck,
    /// Its standard uncertainty, the shared part included.
    pub u: f64,
    /// (upper − lower) / 4u, the measurement capability index (JCGM 106:2012, 7.6.3).
    pub capability: f64,
    /// (upper − lower) / 2U, the test uncertainty ratio.
    pub ratio: f64,
    /// Mean and deviation of the true errors of the class, and on how many readings they rest.
    pub class: Option<(f64, f64, usize)>,
    /// Items that those readings are of.
    pub class_items: usize,
    /// Risks over the class.
    pub risks: Option<ClassRisks>,
    /// Why a figure is missing.
    pub missing: String,
}

/// Records of the histories in `shown` that have a value and a tolerance, in their order.
pub(crate) fn records(stage: &DecisionStage<'_>, shown: &[usize]) -> Vec<Record> {
    let rule = stage.tables.conformity.decision_rule();
    let most = stage.tables.conformity.largest_consumer_risk;
    let populations = populations(stage.histories);
    let bases: Vec<Basis> = shown
        .par_iter()
        .filter_map(|&index| Basis::of(stage, &rule, &populations, index))
        .collect();
    // Many items of a fleet share class, tolerance and u: each set of them is integrated once.
    let mut sets: BTreeMap<Key, &Basis> = BTreeMap::new();
    for basis in &bases {
        if let Some(key) = basis.key() {
            sets.entry(key).or_insert(basis);
        }
    }
    let sets: Vec<(Key, &Basis)> = sets.into_iter().collect();
    let risks: BTreeMap<Key, Result<ClassRisks, NoClassRisk>> = sets
        .into_par_iter()
        .map(|(key, basis)| (key, basis.risks(&populations, &rule, most)))
        .collect();
    bases
        .into_iter()
        .map(|basis| basis.record(&populations, &risks, rule.coverage_factor))
        .collect()
}

/// What each class is like, or why that is not known, by group, point and unit.
struct Populations {
    of: Vec<Option<u32>>,
    known: Vec<Result<Population, NoPopulation>>,
}

/// True errors of every group by its readings as found that state their u.
fn populations(histories: &Histories) -> Populations {
    let mut places: BTreeMap<(&str, &str, &str), u32> = BTreeMap::new();
    let mut readings: Vec<(Vec<(f64, f64)>, usize)> = Vec::new();
    let mut of = Vec::with_capacity(histories.len());
    for history in histories.iter() {
        let item = history.item;
        if item.group.is_empty() {
            of.push(None);
            continue;
        }
        let next = readings.len() as u32;
        let place = *places
            .entry((&item.group, &item.point, &item.unit))
            .or_insert(next);
        if place == next {
            readings.push((Vec::new(), 0));
        }
        let found = (0..history.len())
            .filter(|&i| history.as_found[i].is_finite() && history.u[i] > 0.0)
            .map(|i| (history.as_found[i], history.u[i].hypot(history.u_common[i])));
        let (own, items) = &mut readings[place as usize];
        let before = own.len();
        own.extend(found);
        *items += usize::from(own.len() > before);
        of.push(Some(place));
    }
    Populations {
        of,
        known: readings
            .par_iter()
            .map(|(own, items)| Population::of(own, *items))
            .collect(),
    }
}

/// Class, lower and upper limit and u of a reading, as bits.
type Key = (u32, u64, u64, u64);

/// What the record of one history rests on.
struct Basis {
    index: usize,
    last: LastCheck,
    tolerance: Tolerance,
    u: f64,
    class: Option<u32>,
    /// Why nothing is stated of the check.
    against: Option<String>,
}

impl Basis {
    fn of(
        stage: &DecisionStage<'_>,
        rule: &DecisionRule,
        populations: &Populations,
        index: usize,
    ) -> Option<Self> {
        let history = stage.histories.get(index);
        let last = LastCheck::of(&history, rule)?;
        let against = stage.controls.against_check(index, &history, last.row);
        let last = last.withheld(against.as_deref());
        Some(Self {
            against,
            index,
            tolerance: history.tolerance_at(last.row)?,
            u: history.u[last.row].hypot(history.u_common[last.row]),
            class: populations.of[index],
            last,
        })
    }

    fn key(&self) -> Option<Key> {
        let (lower, upper) = (self.tolerance.lower(), self.tolerance.upper());
        let known = self
            .class
            .filter(|_| self.u > 0.0 && self.against.is_none())?;
        Some((known, lower.to_bits(), upper.to_bits(), self.u.to_bits()))
    }

    /// Risks over the class.
    ///
    /// # Errors
    /// Why there are none.
    fn risks(
        &self,
        populations: &Populations,
        rule: &DecisionRule,
        most: f64,
    ) -> Result<ClassRisks, NoClassRisk> {
        let Some(class) = self.class else {
            return Err(NoClassRisk::NoGroup);
        };
        let population = populations.known[class as usize].as_ref();
        let population = population.map_err(|why| *why)?;
        if let Some(why) = population.unfit(self.tolerance) {
            return Err(why.into());
        }
        let process = population.process(self.u);
        let guard = rule.guard_band(self.u, self.tolerance);
        let normal =
            global_risks(&process, self.tolerance, guard).ok_or(NoClassRisk::Impossible)?;
        let empirical = population.empirical_risks(self.u, self.tolerance, guard);
        let needed = guard_for_risk(&process, self.tolerance, most);
        Ok(ClassRisks {
            normal,
            empirical: empirical.ok_or(NoClassRisk::Impossible)?,
            limits: population.limits(self.u, self.tolerance, guard),
            guard_factor: needed.map(|guard| guard / (rule.coverage_factor * self.u)),
        })
    }

    fn record(
        self,
        populations: &Populations,
        risks: &BTreeMap<Key, Result<ClassRisks, NoClassRisk>>,
        coverage_factor: f64,
    ) -> Record {
        let width = self.tolerance.upper() - self.tolerance.lower();
        let over = |u: f64| {
            let ratio = width / u;
            if ratio.is_finite() { ratio } else { f64::NAN }
        };
        let population = self
            .class
            .and_then(|class| populations.known[class as usize].as_ref().ok());
        let (risks, missing) = match self.key().and_then(|key| risks.get(&key)) {
            _ if self.against.is_some() => (None, self.against.unwrap_or_default()),
            Some(Ok(risks)) => (Some(*risks), String::new()),
            Some(Err(why)) => (None, why.to_string()),
            None if self.class.is_none() => (None, NoClassRisk::NoGroup.to_string()),
            None => (None, NoClassRisk::NoU.to_string()),
        };
        Record {
            index: self.index,
            last: self.last,
            u: self.u,
            capability: over(4.0 * self.u),
            ratio: over(2.0 * coverage_factor * self.u),
            class: population.map(|p| (p.mean, p.deviation, p.errors.len())),
            class_items: population.map_or(0, |p| p.items),
            risks,
            missing,
        }
    }
}

/// Why nothing is said of the risks over an item's class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
enum NoClassRisk {
    #[error("no group is stated, so that nothing is known of the items before a reading")]
    NoGroup,
    #[error("the last check states no u")]
    NoU,
    #[error("the risks over the class cannot be computed from its figures")]
    Impossible,
    #[error(transparent)]
    Population(#[from] NoPopulation),
}
