/*! One history: its readings, its fitted curve, its decision and all that explains it. */

use super::{Action, CostCurve, OpenCase, SectionView};
use crate::words::history_name;
use std::collections::BTreeMap;

/// One reading of a history.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ReadingView {
    /// Day of the check (or usage, where [`HistoryView::usage_unit`] is set).
    pub day: f64,
    /// Error as found, history's unit; NaN where only the outcome was kept.
    pub value: f64,
    /// Standard uncertainty; NaN where not stated.
    pub u: f64,
    /// Error as left, where it differs from as found.
    pub as_left: Option<f64>,
    /// Out of tolerance as found.
    pub out_of_tolerance: bool,
    /// Suspected outlier.
    pub outlier: bool,
    /// Event in one word ("adjusted"); empty for none.
    pub event: &'static str,
    /// Number of its file in [`HistoryView::sources`], and its row as a spreadsheet shows it.
    pub source: Option<(u32, u32)>,
}

impl ReadingView {
    /// True of a reading that is drawn with a mark of its own.
    pub(crate) fn is_marked(&self) -> bool {
        self.out_of_tolerance || self.outlier || self.as_left.is_some()
    }
}

/// One point of the fitted curve and its bands, history's unit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CurvePoint {
    /// Day (or usage).
    pub day: f64,
    /// Expected true error.
    pub expected: f64,
    /// Confidence band of the true error, lower and upper.
    pub confidence: (f64, f64),
    /// Prediction band of the next reading, lower and upper.
    pub prediction: (f64, f64),
    /// Segment: the curve is broken where it changes.
    pub segment: u32,
    /// Probability that the true error is in the tolerance in force; `None` where none is given.
    pub in_tolerance: Option<f64>,
}

impl CurvePoint {
    /// Probability in tolerance, where one can be told.
    pub(crate) fn known_probability(&self) -> Option<f64> {
        self.in_tolerance.filter(|p| p.is_finite())
    }
}

/// Tolerance in force from a day on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToleranceStep {
    /// First day it holds; the first step also holds before.
    pub from: f64,
    /// Lower limit on the error; `None` where open.
    pub lower: Option<f64>,
    /// Upper limit on the error; `None` where open.
    pub upper: Option<f64>,
}

impl ToleranceStep {
    /// The limits from a day on.
    pub(crate) fn new(from: f64, lower: Option<f64>, upper: Option<f64>) -> Self {
        Self { from, lower, upper }
    }
}

/// Value in use from a day on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValueStep {
    /// First day it is in use; −∞ for the first value.
    pub from: f64,
    /// Day up to which it is known to be in use; ∞ for the last value.
    pub until: f64,
    /// Moment from which the errors count from it, as the first check after it does: the check
    /// at which it was adopted. `None` where errors never count from it.
    pub counted_from: Option<f64>,
    /// The value, history's unit; counted from the first one where errors count from it.
    pub value: f64,
}

/// Another unit of the error, for a second axis.
#[derive(Debug, Clone, PartialEq)]
pub struct OtherAxis {
    /// The other unit.
    pub unit: String,
    /// What one of the history's unit is in it.
    pub factor: f64,
}

/// One method's proposal, in words.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ProposalView {
    /// Name of the method.
    pub method: String,
    /// Interval in days; `None` = not applicable.
    pub interval_days: Option<f64>,
    /// What it rests on.
    pub evidence: String,
    /// Its sentence.
    pub reason: String,
    /// True where the policy followed it.
    pub leads: bool,
}

/// Everything a chart or a page says about one history.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HistoryView {
    /// Identity of the instrument.
    pub instrument: String,
    /// Quantity or set point; may be empty.
    pub point: String,
    /// Class; may be empty.
    pub group: String,
    /// Unit of the error; may be empty.
    pub unit: String,
    /// Another unit that the error may be read in; `None` where there is none.
    pub other_axis: Option<OtherAxis>,
    /// Free description from the register.
    pub description: String,
    /// File name without extension, from `crate::report::slugs`.
    pub slug: String,
    /// Conventional value that was subtracted; `None` or 0 where there was none.
    pub nominal: Option<f64>,
    /// Set where the axis is usage rather than time: its unit ("h").
    pub usage_unit: Option<String>,
    /// Readings, oldest first.
    pub readings: Vec<ReadingView>,
    /// Files of the readings, by number.
    pub sources: BTreeMap<u32, String>,
    /// Fit and bands, ascending in day within each segment.
    pub curve: Vec<CurvePoint>,
    /// Readings off what the readings before them led to expect, by place on the axis, in standard
    /// deviations of that forecast.
    pub residuals: Vec<(f64, f64)>,
    /// Readings that are drawn elsewhere than they were recorded, since an earlier source stands off the latest: how many, and
    /// the smallest and largest change.
    pub moved: Option<(usize, f64, f64)>,
    /// Tolerance through time, oldest first.
    pub tolerance: Vec<ToleranceStep>,
    /// Values in use, oldest first; empty where they are not known or never changed.
    pub values: Vec<ValueStep>,
    /// The as-of date.
    pub as_of: f64,
    /// Day from which the interval counts.
    pub last_calibration: Option<f64>,
    /// Due date that the decision sets.
    pub due_day: Option<f64>,
    /// Due date by the interval in force.
    pub in_force_due: Option<f64>,
    /// What a person decided of the interval, in a sentence; empty where nobody has.
    pub approval: String,
    /// True where the proposal waits for a person's decision.
    pub waits: bool,
    /// True where an interval can be put in force: the item is not retired or lost.
    pub serves: bool,
    /// Why an approval of the proposal could take no effect, in a few words; empty where it can.
    pub bar: &'static str,
    /// Its cases that nobody closed; none where no book is kept.
    pub open_cases: Vec<OpenCase>,
    /// Days on which it left its tolerance: begin of the 95 % window, the day, end; oldest first.
    pub left_tolerance: Vec<(f64, f64, f64)>,
    /// Records of its findings, oldest first: what each says, and its file name without extension.
    pub records: Vec<(String, String)>,
    /// True where it is lent or stored: no date makes it overdue.
    pub away: bool,
    /// Interval in force, days.
    pub current_interval_days: Option<f64>,
    /// Interval decided, days.
    pub interval_days: Option<f64>,
    /// What is to be done.
    pub action: Action,
    /// What is decided of the instrument as a whole, where it has several points; else empty.
    pub instrument_line: String,
    /// True where the instrument is withdrawn by another of its points.
    pub withdrawn_elsewhere: bool,
    /// What could be estimated, in words.
    pub status: String,
    /// The decision's sentence.
    pub reason: String,
    /// The finding, the chart's title ("TH-014 rises 1.9 mK a year; …").
    pub finding: String,
    /// Drift model used ("state").
    pub model: String,
    /// Level of both bands, 0 to 1.
    pub level: f64,
    /// Probability in tolerance that is asked for at the due date, 0 to 1.
    pub target: Option<f64>,
    /// Interval that the forecast alone gives for other targets: (target, days, whether it meets the target,
    /// which the shortest allowed need not); may be empty.
    pub targets: Vec<(f64, f64, bool)>,
    /// True where the drift is mostly the class's: drawn dashed.
    pub drift_from_class: bool,
    /// Method the decision followed.
    pub method: String,
    /// All proposals.
    pub proposals: Vec<ProposalView>,
    /// Policy rules that fired, in words.
    pub rules_fired: Vec<String>,
    /// Notes of the fit and warnings of screening.
    pub notes: Vec<String>,
    /// Explanation: further titled parts (coefficients, forecast table, control …).
    pub sections: Vec<SectionView>,
    /// Expected cost per year against the interval, where costs are given.
    pub cost: Option<CostCurve>,
    /// What other intervals would cost against the decided one, in words.
    pub prices: Vec<String>,
    /// Numbers worth a line each: (name, value with unit).
    pub numbers: Vec<(String, String)>,
}

/// One history as a small picture in the book of its group.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct BookView {
    /// Identity of the instrument.
    pub instrument: String,
    /// Quantity or set point; may be empty.
    pub point: String,
    /// Unit of the error; may be empty.
    pub unit: String,
    /// File name of its page without extension.
    pub slug: String,
    pub action: Action,
    /// Set where the axis is usage rather than time: its unit ("h").
    pub usage_unit: Option<String>,
    /// Readings, oldest first.
    pub readings: Vec<ReadingView>,
    /// Fit and bands, ascending in day within each segment.
    pub curve: Vec<CurvePoint>,
    /// Tolerance in force last.
    pub tolerance: Option<ToleranceStep>,
    /// Error expected on the due date; `None` where nothing tells it.
    pub at_due: Option<f64>,
}

impl BookView {
    /// "TH-014" or "TH-014, 100 °C".
    pub(crate) fn name(&self) -> String {
        history_name(&self.instrument, &self.point)
    }
}

impl HistoryView {
    /// "TH-014" or "TH-014, 100 °C".
    pub(crate) fn name(&self) -> String {
        history_name(&self.instrument, &self.point)
    }

    /// Tolerance in force last: (lower, upper).
    pub(crate) fn last_tolerance(&self) -> (Option<f64>, Option<f64>) {
        self.tolerance
            .last()
            .map_or((None, None), |step| (step.lower, step.upper))
    }
}
