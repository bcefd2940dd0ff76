/*! Replay: how bands and intervals would have done on the laboratory's own past.

Data flow: `PastClasses` and `reviews` find, for past days, what classes and groups lent by then;
each history is walked forward and every forecast (`Scored`) and interval
(`PastDecision`) is made by the very functions a run calls, on the checks
dated up to that day alone; the last step is the decision of a run on the day the replay ends; `ReplayResult` scores them on what came next.
*/

mod coverage;
mod cut;
mod decisions;
mod forecast;
mod misses;
mod past_classes;
mod review;
mod settings;
mod summary;
mod words;

pub(crate) use coverage::Coverage;
pub(crate) use cut::prefix;
pub(crate) use decisions::{Hindsight, PastDecision, Today};
pub(crate) use forecast::{Ahead, Scored};
pub(crate) use misses::Misses;
pub use settings::ReplaySettings;
pub(crate) use summary::{Difference, ForecasterResult, MethodResult};

use super::group_evidence::group_evidence;
use crate::control::ControlSettings;
use crate::decisions::DecisionTables;
use crate::decisions::cases::closings::Closings;
use crate::decisions::controls::{ChartedBy, Controls};
use crate::decisions::policy::Decision;
use crate::drift::class::classes::class_parameters;
use crate::drift::{DriftSettings, ModelName};
use crate::intervals::Method;
use crate::records::Histories;
use crate::reliability::ReliabilitySettings;
use decisions::{Steps, TodayKnown};
use past_classes::PastClasses;
use rayon::prelude::*;
use review::reviews;
use std::borrow::Cow;

/// What is replayed: the settings of a run, and the forecasters beside each other.
pub struct Replay<'a> {
    /// Drift model and level of the bands.
    pub drift: DriftSettings,
    /// Methods and policy.
    pub tables: DecisionTables,
    /// Reliability of the groups, where the methods ask for it.
    pub reliability: ReliabilitySettings,
    /// Horizons, reviews and limits.
    pub settings: ReplaySettings,
    /// The drift models that forecast; the first is the one the others are compared with.
    pub forecasters: Vec<DriftSettings>,
    /// The book of closings; `None` where no cases are kept.
    pub closings: Option<&'a Closings>,
    /// Settings of the control charts, which the last step heeds.
    pub control: ControlSettings,
    /// The day the replay ends; `None` where it ends at the last calibration.
    pub today: Option<Today<'a>>,
}

/// Every forecast and decision of a replay.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// Forecasts, one list a forecaster; the lists agree in history, origin and target,
    /// with `None` where a forecaster could say nothing.
    pub forecasts: Vec<Vec<Option<Scored>>>,
    /// Decisions at past calibrations.
    pub decisions: Vec<PastDecision>,
    /// The last step: those of the day the replay ends, which are those of a run on that day.
    pub today: Vec<(PastDecision, Decision)>,
}

/// Forecasts and decisions of one history, past and of the last day.
type Walked = (
    Vec<Vec<Option<Scored>>>,
    Vec<PastDecision>,
    Option<(PastDecision, Decision)>,
);

/// What a replay found.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ReplayResult {
    pub forecasters: Vec<ForecasterResult>,
    /// One a method, in the order of the settings, then the policy.
    pub methods: Vec<MethodResult>,
    /// The first forecaster against each other one, and the policy against each method.
    pub differences: Vec<Difference>,
    /// The findings in plain sentences.
    pub words: Vec<String>,
}

impl Replay<'_> {
    /// A replay of the settings' model beside the state model and a straight line.
    pub fn new(drift: DriftSettings, tables: DecisionTables, settings: ReplaySettings) -> Self {
        let mut models = vec![drift.model];
        for other in [ModelName::State, ModelName::Line] {
            if other != drift.model {
                models.push(other);
            }
        }
        let forecaster = |model| DriftSettings {
            model,
            ..drift.clone()
        };
        Replay {
            forecasters: models.into_iter().map(forecaster).collect(),
            drift,
            tables,
            reliability: ReliabilitySettings::default(),
            settings,
            closings: None,
            control: ControlSettings::default(),
            today: None,
        }
    }

    /// Walks through all records; all cores, the same result for any number.
    pub fn walk(&self, histories: &Histories) -> Walk {
        let classes = PastClasses::of(histories, &self.drift, &self.settings);
        let rules = (&self.settings, &self.reliability);
        let reviews = reviews(histories, &self.tables, rules);
        let methods: Vec<Box<dyn Method>> = self.tables.methods();
        let known_today = self.today.map(|_| TodayKnown {
            classes: class_parameters(histories, &self.drift),
            groups: group_evidence(histories, &self.tables, &self.reliability),
        });
        let controls = known_today.as_ref().map(|known| {
            let class = |index| Cow::Borrowed(known.classes.of_history(index));
            let by = ChartedBy {
                control: &self.control,
                drift: &self.drift,
                closings: self.closings,
                class: &class,
                only: None,
            };
            Controls::of(histories, &by, &|_| false)
        });
        let steps = Steps {
            histories,
            classes: &classes,
            reviews: &reviews,
            known_today: known_today.as_ref(),
            controls: controls.as_ref(),
            methods: &methods,
            drift: &self.drift,
            tables: &self.tables,
            closings: self.closings,
        };
        let walked: Vec<Walked> = (0..histories.len())
            .into_par_iter()
            .map(|index| {
                let (history, by) = (histories.get(index), (&self.drift, &self.settings));
                let forecasters = &self.forecasters;
                let forecasts = forecast::score_history(index, &history, &classes, forecasters, by);
                let today = self.today.as_ref();
                let today = today.and_then(|today| steps.today(index, today));
                (forecasts, steps.past(index), today)
            })
            .collect();
        let mut walk = Walk {
            forecasts: vec![Vec::new(); self.forecasters.len()],
            decisions: Vec::new(),
            today: Vec::new(),
        };
        for (forecasts, decisions, today) in walked {
            for (all, own) in walk.forecasts.iter_mut().zip(forecasts) {
                all.extend(own);
            }
            walk.decisions.extend(decisions);
            walk.today.extend(today);
        }
        walk
    }

    pub(crate) fn score(&self, histories: &Histories, walk: &Walk) -> ReplayResult {
        let confidence = self.settings.confidence;
        let names: Vec<&str> = self.forecasters.iter().map(|f| f.model.word()).collect();
        let forecasters: Vec<ForecasterResult> = names
            .iter()
            .zip(&walk.forecasts)
            .map(|(name, scored)| {
                let levels = (self.drift.level, confidence);
                summary::forecaster(name, scored, histories, &self.settings.horizons, levels)
            })
            .collect();
        let mut candidates: Vec<&str> = self
            .tables
            .methods()
            .iter()
            .map(|method| method.name().words())
            .collect();
        candidates.push("policy");
        let methods: Vec<MethodResult> = candidates
            .iter()
            .enumerate()
            .map(|(i, name)| summary::method(name, &walk.decisions, i, confidence))
            .collect();
        let mut differences = self.forecast_differences(&names, walk);
        differences.extend(self.method_differences(&candidates, walk));
        let words = words::findings(&forecasters, &methods, &differences, self);
        ReplayResult {
            forecasters,
            methods,
            differences,
            words,
        }
    }

    /// CRPS of the next reading: first forecaster minus each other.
    fn forecast_differences(&self, names: &[&str], walk: &Walk) -> Vec<Difference> {
        let others = names.iter().zip(&walk.forecasts).skip(1);
        others
            .map(|(name, theirs)| {
                let pairs = walk.forecasts[0].iter().zip(theirs);
                let both = pairs.filter_map(|(own, other)| own.zip(*other));
                let cases = both
                    .filter(|(own, _)| own.ahead == Ahead::Next)
                    .map(|(own, other)| (own.history, own.crps - other.crps))
                    .filter(|(_, value)| value.is_finite());
                summary::difference((names[0], name), CRPS, cases, self.settings.confidence)
            })
            .collect()
    }

    /// Share in tolerance when due: policy minus each method, where the record tells both.
    fn method_differences(&self, candidates: &[&str], walk: &Walk) -> Vec<Difference> {
        let policy = candidates.len() - 1;
        let known = |verdict: Hindsight| match verdict {
            Hindsight::In => Some(1.0),
            Hindsight::Out => Some(0.0),
            Hindsight::Unknown => None,
        };
        (0..policy)
            .map(|other| {
                let cases = walk.decisions.iter().filter_map(|decision| {
                    let own = known(decision.verdicts[policy])?;
                    let theirs = known(decision.verdicts[other])?;
                    Some((decision.history, own - theirs))
                });
                let names = (candidates[policy], candidates[other]);
                summary::difference(names, IN_TOLERANCE, cases, self.settings.confidence)
            })
            .collect()
    }
}

/// What the forecasters' differences compare.
pub(crate) const CRPS: &str = "continuous ranked probability score of the next reading";
/// What the methods' differences compare.
const IN_TOLERANCE: &str = "share in tolerance when due";

#[cfg(test)]
mod tests;
