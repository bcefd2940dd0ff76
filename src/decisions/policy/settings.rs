/*! The `[policy]` table: which method leads, and the rules that bind its proposal. */

use super::remedied::RemedyRule;
use crate::intervals::MethodName;
use crate::records::MOST_DAYS;
use crate::settings::SettingError;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// How one leader is made of several allowed ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Weighting {
    /// The first leader that applies decides alone.
    #[default]
    First,
    /// All leaders that apply: geometric mean of their intervals, weighted by their evidence.
    Evidence,
}

/// Where the first interval of an item comes from that no method can judge yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum FirstInterval {
    /// The interval that the register states (the maker's, or a person's).
    Register,
    /// The typical interval between calibrations in its group.
    Group,
    /// `current_interval_days` of the settings times `first_factor`.
    Setting,
}

/// Sudden steps under which an extension meets the target.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum StepRate {
    /// As many as the forecast takes, what is believed before any record included.
    #[default]
    Expected,
    /// Also as many as the record of the class would just bear.
    Largest,
}

crate::settings! {
    /// From proposals to one decision: who leads, how fast intervals may move, what forbids an extension.
    pub struct PolicySettings in "policy" {
        /// Methods that may lead, best first; where none of them ran, those that ran lead.
        leaders: Vec<MethodName> = vec![
            MethodName::LeastCost,
            MethodName::DriftCrossing,
            MethodName::Reliability,
            MethodName::GroupRegression,
            MethodName::UncertaintyGrowth,
            MethodName::IntervalTest,
            MethodName::ControlChart,
            MethodName::InUseTime,
            MethodName::InServiceCheck,
            MethodName::IncrementalResponse,
            MethodName::Staircase,
            MethodName::SimpleResponse,
        ] => SomeOf(MethodName::ALL),
        /// "first": the first leader that applies decides; "evidence": all that apply, weighted by their evidence.
        weighting: Weighting = Weighting::First,
        /// Largest factor by which an interval may grow at once.
        largest_extension: f64 = 2.0 => at_least(1.0).or_infinite(),
        /// Smallest factor by which an interval may shrink at once; 0 lets it shrink at once to any length.
        largest_shortening: f64 = 0.0 => at_least(0.0).at_most(1.0),
        /// Changes smaller than this share of the interval in use are not made.
        smallest_change: f64 = 0.03 => at_least(0.0).below(1.0),
        /// Intervals to choose from, days, such as [30, 60, 90, 180, 365, 730]; empty = any whole number of days.
        listed_days: Vec<f64> = Vec::new() => above(0.0),
        /// An item with fewer checks than this is not extended.
        checks_to_extend: u32 = 3,
        /// Good checks that follow a check out of tolerance before an interval of the instrument grows, where no book of cases is kept; 0 = none.
        checks_after_failure: u32 = 3,
        /// true: an interval may grow beyond both the item's own record and what its class has shown to hold.
        beyond_record: bool = false,
        /// true: an interval may end below the reliability target by the item's own forecast; the reason then leads with it.
        below_target: bool = false,
        /// true: an interval may grow although a shock, a repair or a step without event was recorded at the last calibration or since.
        extend_after_surprise: bool = false,
        /// Sudden steps under which an extension meets the target: "expected", as many as the forecast takes; "largest", also as many as the record of the class would just bear (exact limit at 95 %).
        step_rate: StepRate = StepRate::Expected,
        /// Standard deviations off what the earlier ones predict from which a last reading holds a longer interval until a repeated check.
        far_off: f64 = 3.0 => above(0.0).or_infinite(),
        /// Confidence at which results below the target, near the interval in use, forbid a group to keep it where no forecast of the item's own values leads; 1 = never.
        below_target_confidence: f64 = 0.95 => above(0.0).at_most(1.0),
        /// What may be proposed where a known error, not the drift, shortens an interval: adjust, adopt, none; "auto" goes by the record.
        remedy: RemedyRule = RemedyRule::Auto,
        /// Share of the way to a limit that the error expected on the due date has to use up before a remedy is proposed.
        remedy_share: f64 = 0.5 => above(0.0).at_most(1.0),
        /// Words of the register's criticality that forbid an extension.
        never_extend: Vec<String> = Vec::new(),
        /// Words of the register's criticality for which every change asks for a person.
        ask_person: Vec<String> = Vec::new(),
        /// Where the first interval of an item comes from that no method can judge yet, in order.
        first_interval: Vec<FirstInterval> = vec![FirstInterval::Register, FirstInterval::Group],
        /// Factor on the settings' interval for a first interval of kind "setting".
        first_factor: f64 = 0.5 => above(0.0),
        /// Extensions allowed within one year, by the decision log; none = no limit.
        extensions_per_year: Option<u32> = None,
        /// Days by which a due date may be brought forward to level the workload; 0 = not at all.
        smoothing_days: f64 = 0.0 => at_least(0.0).at_most(MOST_DAYS),
        /// Rules of one group: [policy.group."NAME"] with leaders, largest_extension, largest_shortening, listed_days, checks_to_extend, extensions_per_year.
        group: BTreeMap<String, GroupPolicy> = BTreeMap::new(),
    }
    together PolicySettings::wrong_groups
}

/// What one group may settle for itself; what it leaves out is as in `[policy]`.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
#[allow(missing_docs)]
pub struct GroupPolicy {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub leaders: Option<Vec<MethodName>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub largest_extension: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub largest_shortening: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub listed_days: Option<Vec<f64>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub checks_to_extend: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub extensions_per_year: Option<u32>,
}

/// The rules in force for one item: the table with its group's own rules put in.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Rules<'a> {
    pub settings: &'a PolicySettings,
    pub leaders: &'a [MethodName],
    pub largest_extension: f64,
    pub largest_shortening: f64,
    pub listed_days: &'a [f64],
    pub checks_to_extend: u32,
    pub extensions_per_year: Option<u32>,
}

impl PolicySettings {
    /// Groups with rules that cannot be used.
    fn wrong_groups(&self) -> Vec<SettingError> {
        let positive = |list: &Vec<f64>| list.iter().all(|d| d.is_finite() && *d > 0.0);
        let wrong = |group: &GroupPolicy| {
            group.leaders.as_ref().is_some_and(Vec::is_empty)
                || group
                    .largest_extension
                    .is_some_and(|f| f.is_nan() || f < 1.0)
                || group
                    .largest_shortening
                    .is_some_and(|f| !(0.0..=1.0).contains(&f))
                || group.listed_days.as_ref().is_some_and(|l| !positive(l))
        };
        let told = |name: &String| {
            let message =
                format!("group \"{name}\" has an empty list of leaders or a factor out of range");
            SettingError::new("policy", "group", message)
        };
        let groups = self.group.iter().filter(|(_, group)| wrong(group));
        groups.map(|(name, _)| told(name)).collect()
    }

    /// True where the extensions of a year are counted, of all items or of some group.
    pub(crate) fn counts_extensions(&self) -> bool {
        let mut groups = self.group.values();
        self.extensions_per_year.is_some()
            || groups.any(|group| group.extensions_per_year.is_some())
    }

    /// The rules in force for items of `group`.
    pub(crate) fn rules(&self, group: &str) -> Rules<'_> {
        let own = self.group.get(group);
        Rules {
            settings: self,
            leaders: own
                .and_then(|g| g.leaders.as_deref())
                .unwrap_or(&self.leaders),
            largest_extension: own
                .and_then(|g| g.largest_extension)
                .unwrap_or(self.largest_extension),
            largest_shortening: own
                .and_then(|g| g.largest_shortening)
                .unwrap_or(self.largest_shortening),
            listed_days: own
                .and_then(|g| g.listed_days.as_deref())
                .unwrap_or(&self.listed_days),
            checks_to_extend: own
                .and_then(|g| g.checks_to_extend)
                .unwrap_or(self.checks_to_extend),
            extensions_per_year: own
                .and_then(|g| g.extensions_per_year)
                .or(self.extensions_per_year),
        }
    }
}
