/*! One group: reliability, drift rates, out-of-tolerance proportions, cost. */

use super::SectionView;

/// Out-of-tolerance count of one period, with exact limits on the proportion.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ProportionView {
    /// Middle of the period (day).
    pub x: f64,
    /// Its first and last day.
    pub days: (f64, f64),
    /// Instruments checked in it.
    pub trials: u64,
    /// Of those, found out of tolerance at any of their checks in it.
    pub count: u64,
    /// Exact limits of the proportion at 95 %, 0 to 1.
    pub limits: (f64, f64),
}

/// R(t) without a model at one age.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ReliabilityPoint {
    /// Days since calibration.
    pub x: f64,
    /// Share in tolerance.
    pub share: f64,
    /// Exact limits of it, 0 to 1.
    pub limits: (f64, f64),
    /// Outcomes behind it.
    pub outcomes: u64,
    /// Lives that had not failed before that age and were watched up to it.
    pub at_risk: u64,
}

/// One curve of reliability against time since calibration.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReliabilityCurve {
    /// Name of the model.
    pub model: String,
    /// The same where room is scarce.
    pub short: &'static str,
    /// (days since calibration, R).
    pub points: Vec<(f64, f64)>,
    /// (days, lower, upper) confidence limits; may be empty.
    pub limits: Vec<(f64, f64, f64)>,
    /// True for the model that leads.
    pub leads: bool,
}

/// Cost per year against the interval.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CostCurve {
    /// What it is the cost of ("TH-014" or a group).
    pub name: String,
    /// Currency as given; may be empty.
    pub currency: String,
    /// (interval in days, cost per year).
    pub points: Vec<(f64, f64)>,
    /// Cheapest interval, days.
    pub least: Option<f64>,
    /// Interval in use, days.
    pub current: Option<f64>,
}

/// One drift rate of a group: own and class-informed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DriftRate {
    /// Name of the history.
    pub name: String,
    /// Own estimate, unit per year.
    pub own: Option<f64>,
    /// Its standard uncertainty.
    pub u_own: Option<f64>,
    /// Shrunken towards the class.
    pub shrunken: f64,
    /// Its standard uncertainty.
    pub u_shrunken: f64,
}

/// What is known of one group.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct GroupView {
    /// Name of the group.
    pub name: String,
    /// File name of its page without extension, from [`crate::report::slugs`]; empty = no page.
    pub slug: String,
    /// The day for which it speaks, days since 1970-01-01.
    pub as_of: f64,
    /// Unit shared by its histories; empty where they differ.
    pub unit: String,
    /// Number of histories.
    pub histories: usize,
    /// Sentences about it.
    pub sentences: Vec<String>,
    /// R(t) without a model at a few ages.
    pub bins: Vec<ReliabilityPoint>,
    /// Corners of the line of R(t) without a model (days, R); empty where the points are all.
    pub without_model: Vec<(f64, f64)>,
    /// Longest interval that may be decided, days; `None` = no end.
    pub longest_days: Option<f64>,
    /// Models of R(t).
    pub reliability: Vec<ReliabilityCurve>,
    /// Reliability target, where one line holds for the group.
    pub target: Option<f64>,
    /// Drift rates, own and shrunken.
    pub drift_rates: Vec<DriftRate>,
    /// Mean drift of the class and its standard deviation between items.
    pub class_drift: Option<(f64, f64)>,
    /// Out of tolerance by month (x = middle of the month, count = out).
    pub out_of_tolerance: Vec<ProportionView>,
    /// Cost curve, where costs are given.
    pub cost: Option<CostCurve>,
    /// Further parts of its page.
    pub sections: Vec<SectionView>,
}
