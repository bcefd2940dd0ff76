/*! One instrument of the demo, and what befalls it. */

use super::kinds::Kind;
use serde::Deserialize;

/// Something that happens in a life. Sizes are in tolerances.
#[derive(Debug, PartialEq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Twist {
    /// Annealed at a check: level and drift start anew.
    Anneal(usize),
    /// Shocked before a check, noted by the laboratory.
    Shock(usize, f64),
    /// Repaired at a check.
    Repair(usize),
    /// Replaced by another of its kind at a check.
    Replace(usize),
    /// Level jumps before a check and nobody notes why.
    Step(usize, f64),
    /// One reading is wrong.
    Outlier(usize, f64),
    /// A yearly swing of this amplitude.
    Annual(f64),
    /// No uncertainty was recorded.
    NoUncertainty,
    /// Only in or out of tolerance was recorded.
    OutcomesOnly,
    /// Neither register nor record gives a tolerance.
    NoTolerance,
    /// Nobody adjusts it, whatever is found.
    NeverAdjusted,
    /// Errors are kept as values beside a nominal value, both in the unit.
    ByValue(f64),
    /// The tolerance stands in the record, not in the register.
    ToleranceInRecord,
    /// A check standard, measured to the day in the sessions of others; said to be stable or not.
    CheckStandard(bool),
    /// It had another name before this day since 1970-01-01.
    Renamed(String, f64),
    /// Somebody else has it until this date.
    Lent(String),
    /// It serves no more.
    Retired,
}

/// One instrument of the laboratory.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Member {
    #[serde(deserialize_with = "Kind::named")]
    pub kind: &'static Kind,
    /// Its number within the kind.
    pub number: u64,
    /// The interval procedure that the quality manual assigns to it.
    pub procedure: String,
    /// Points checked where they are others than those of its kind.
    #[serde(default)]
    points: Vec<String>,
    /// Checks of each point.
    pub checks: usize,
    /// Days between checks.
    pub every: f64,
    /// Intermediate checks between two calibrations.
    #[serde(default)]
    pub between: usize,
    /// Intermediate checks since the last calibration.
    #[serde(default)]
    pub since: usize,
    /// Days from the last check to the as-of date.
    pub idle: f64,
    /// Drift in tolerances per year where set; drawn for the kind otherwise.
    pub drift: Option<f64>,
    /// Wander in tolerances per √year where set.
    pub wander: Option<f64>,
    /// What happens.
    #[serde(default)]
    pub twists: Vec<Twist>,
    /// Longest interval allowed, days.
    pub cap: Option<u32>,
    /// Reliability target of its own.
    pub target: Option<f64>,
    /// Cost of a year out of tolerance.
    pub harm: Option<f64>,
    /// Criticality in the register, where it is not the normal one.
    pub criticality: Option<String>,
}

impl Member {
    /// Points checked.
    pub(super) fn points(&self) -> &[String] {
        match self.points.is_empty() {
            true => &self.kind.points,
            false => &self.points,
        }
    }

    /// True where `twist` is among what happens.
    pub(crate) fn has(&self, twist: Twist) -> bool {
        self.twists.contains(&twist)
    }

    /// Whether it is a check standard, and then whether it is said to be stable.
    pub(crate) fn is_check_standard(&self) -> Option<bool> {
        self.twists.iter().find_map(|twist| match twist {
            Twist::CheckStandard(stable) => Some(*stable),
            _ => None,
        })
    }

    /// An earlier name, and the day since 1970-01-01 on which it went.
    pub(crate) fn former(&self) -> Option<(&str, f64)> {
        self.twists.iter().find_map(|twist| match twist {
            Twist::Renamed(name, day) => Some((name.as_str(), *day)),
            _ => None,
        })
    }

    /// What keeps it from serving.
    pub(crate) fn away(&self) -> Option<&Twist> {
        let away = |twist: &&Twist| matches!(twist, Twist::Lent(_) | Twist::Retired);
        self.twists.iter().find(away)
    }

    /// What it was called on `day`.
    pub(crate) fn name_on(&self, day: f64) -> String {
        match self.former() {
            Some((name, until)) if day < until => name.to_string(),
            _ => self.name(),
        }
    }

    /// Identity, such as TH-003.
    pub(crate) fn name(&self) -> String {
        format!("{}-{:03}", self.kind.prefix, self.number)
    }
}
