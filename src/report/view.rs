/*! What the report shows: plain values, filled by the pipeline, never computed here.

Every field may be left at its default; what is missing is left out of the
report or said in words. Days are days since 1970-01-01.
*/

/// Actions in order of urgency, as `decisions.csv` words them.
pub const ACTIONS: [&str; 5] = ["withdraw", "review", "shorten", "keep", "extend"];

/// Place of an action in [`ACTIONS`]; unknown words come last.
pub fn urgency(action: &str) -> usize {
    ACTIONS
        .iter()
        .position(|known| *known == action)
        .unwrap_or(ACTIONS.len())
}

/// True where the action asks for a person's decision today.
pub fn needs_person(action: &str) -> bool {
    urgency(action) < 2
}

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

/// A titled part of a report: sentences, then perhaps a table or preformatted text.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SectionView {
    /// Heading.
    pub title: String,
    /// Sentences, one paragraph each.
    pub paragraphs: Vec<String>,
    /// Column headers; empty for no table.
    pub headers: Vec<String>,
    /// Cells, one row each, as text.
    pub rows: Vec<Vec<String>>,
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
    /// Free description from the register.
    pub description: String,
    /// File name without extension, from [`super::slugs`].
    pub slug: String,
    /// Conventional value that was subtracted; `None` or 0 where there was none.
    pub nominal: Option<f64>,
    /// Set where the axis is usage rather than time: its unit ("h").
    pub usage_unit: Option<String>,
    /// Readings, oldest first.
    pub readings: Vec<ReadingView>,
    /// Fit and bands, ascending in day within each segment.
    pub curve: Vec<CurvePoint>,
    /// Tolerance through time, oldest first.
    pub tolerance: Vec<ToleranceStep>,
    /// The as-of date.
    pub as_of: f64,
    /// Day from which the interval counts.
    pub last_calibration: Option<f64>,
    /// Due date that the decision sets.
    pub due_day: Option<f64>,
    /// Interval in use, days.
    pub current_interval_days: Option<f64>,
    /// Interval decided, days.
    pub interval_days: Option<f64>,
    /// One of [`ACTIONS`].
    pub action: String,
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
    /// True where the drift is mostly the class's: drawn dashed.
    pub borrowed: bool,
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
    /// Numbers worth a line each: (name, value with unit).
    pub numbers: Vec<(String, String)>,
}

impl HistoryView {
    /// "TH-014" or "TH-014, 100 °C".
    pub fn name(&self) -> String {
        full_name(&self.instrument, &self.point)
    }

    /// Tolerance in force last: (lower, upper).
    pub fn last_tolerance(&self) -> (Option<f64>, Option<f64>) {
        self.tolerance
            .last()
            .map_or((None, None), |step| (step.lower, step.upper))
    }

    /// Reasons to show this history to a person: a withdrawal or a review.
    pub fn needs_person(&self) -> bool {
        needs_person(&self.action)
    }
}

/// One row of the fleet's table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FleetRow {
    /// Identity of the instrument.
    pub instrument: String,
    /// Quantity or set point; may be empty.
    pub point: String,
    /// Class; may be empty.
    pub group: String,
    /// Unit of the error.
    pub unit: String,
    /// File name without extension, from [`super::slugs`].
    pub slug: String,
    /// True where `instruments/SLUG.html` is written.
    pub has_page: bool,
    /// Number of checks.
    pub checks: usize,
    /// Last check.
    pub last_check: Option<f64>,
    /// What could be estimated, in words.
    pub status: String,
    /// Drift, unit per year.
    pub drift_per_year: Option<f64>,
    /// Its standard uncertainty.
    pub u_drift_per_year: Option<f64>,
    /// Class-informed (shrunken) drift, where it differs from the own estimate.
    pub own_drift_per_year: Option<f64>,
    /// Probability that the true error is in tolerance at the due date.
    pub probability_in_tolerance: Option<f64>,
    /// Interval in use, days.
    pub current_interval_days: Option<f64>,
    /// Interval decided, days.
    pub interval_days: Option<f64>,
    /// Due date decided.
    pub due_day: Option<f64>,
    /// One of [`ACTIONS`].
    pub action: String,
    /// The decision's sentence.
    pub reason: String,
    /// Method the decision followed.
    pub method: String,
    /// Last readings for the sparkline: (day, error); may be empty.
    pub spark: Vec<(f64, f64)>,
    /// Tolerance for the sparkline: (lower, upper).
    pub tolerance: (Option<f64>, Option<f64>),
}

impl FleetRow {
    /// "TH-014" or "TH-014, 100 °C".
    pub fn name(&self) -> String {
        full_name(&self.instrument, &self.point)
    }

    /// True where the due date lies before `as_of`.
    pub fn overdue(&self, as_of: f64) -> bool {
        self.due_day.is_some_and(|due| due < as_of)
    }
}

/// One rejected row.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RejectView {
    /// File it came from.
    pub file: String,
    /// Row, from 1 after the header.
    pub row: u64,
    /// Column.
    pub column: String,
    /// The value that was refused.
    pub value: String,
    /// Why, and the mend.
    pub reason: String,
}

/// Out-of-tolerance count of one period, with exact limits on the proportion.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ProportionView {
    /// Middle of the period (day), or of the bin of time since calibration (days).
    pub x: f64,
    /// Checks.
    pub trials: u64,
    /// Of those, out of tolerance (R(t) bins: in tolerance).
    pub count: u64,
    /// Exact limits of the proportion at 95 %, 0 to 1.
    pub limits: (f64, f64),
}

/// One curve of reliability against time since calibration.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReliabilityCurve {
    /// Name of the model.
    pub model: String,
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
    /// File name of its page without extension, from [`super::slugs`]; empty = no page.
    pub slug: String,
    /// Unit shared by its histories; empty where they differ.
    pub unit: String,
    /// Number of histories.
    pub histories: usize,
    /// Sentences about it.
    pub sentences: Vec<String>,
    /// Observed proportion in tolerance by time since calibration (x in days, count = in).
    pub bins: Vec<ProportionView>,
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
}

/// Calibrations due in one month.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MonthCount {
    /// First day of the month.
    pub month: f64,
    /// Due with today's intervals.
    pub now: u64,
    /// Due with the decided intervals.
    pub decided: u64,
}

/// Rows in, and where they went: read = used + merged + rejected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct RowCounts {
    /// Rows read.
    pub read: u64,
    /// Rows in histories.
    pub used: u64,
    /// Repeated rows merged into one.
    pub merged: u64,
    /// Rows in `rejects.csv`.
    pub rejected: u64,
}

/// Everything the fleet's page and summary say.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FleetView {
    /// Heading ("Interval review, demo laboratory"); empty = a plain one.
    pub title: String,
    /// The as-of date.
    pub as_of: f64,
    /// Version of the program.
    pub version: String,
    /// Input files as named in the pipeline.
    pub inputs: Vec<String>,
    /// One row a history, in the tables' order.
    pub rows: Vec<FleetRow>,
    /// Rows in and where they went.
    pub counts: RowCounts,
    /// Rejected rows (all or the first few; `counts.rejected` is the total).
    pub rejects: Vec<RejectView>,
    /// Usable but suspicious data, in words.
    pub warnings: Vec<String>,
    /// Methods used: (name, what it does and its source).
    pub methods: Vec<(String, String)>,
    /// Settings as TOML text.
    pub settings_text: String,
    /// Groups, by name.
    pub groups: Vec<GroupView>,
    /// Workload of the coming months.
    pub workload: Vec<MonthCount>,
    /// Out of tolerance by month, whole fleet (count = out).
    pub out_of_tolerance: Vec<ProportionView>,
    /// Cost curve of the fleet, where costs are given.
    pub cost: Option<CostCurve>,
    /// Cautions beside the standing ones.
    pub cautions: Vec<String>,
    /// Further parts of the summary (published numbers reproduced, control charts …).
    pub sections: Vec<SectionView>,
}

impl FleetView {
    /// Histories with each of [`ACTIONS`], in that order.
    pub fn action_counts(&self) -> [usize; 5] {
        let mut counts = [0; 5];
        for row in &self.rows {
            if let Some(count) = counts.get_mut(urgency(&row.action)) {
                *count += 1;
            }
        }
        counts
    }

    /// Row numbers sorted by urgency: action, then due date, then table order.
    pub fn by_urgency(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.rows.len()).collect();
        let due = |i: usize| self.rows[i].due_day.unwrap_or(f64::INFINITY);
        order.sort_by(|&a, &b| {
            urgency(&self.rows[a].action)
                .cmp(&urgency(&self.rows[b].action))
                .then(due(a).total_cmp(&due(b)))
                .then(a.cmp(&b))
        });
        order
    }
}

/// One change since the last run.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChangeView {
    /// Heading it belongs under ("Newly overdue", "Data edited in the past", …).
    pub kind: String,
    /// Name of the history.
    pub name: String,
    /// File name of its page without extension; empty where none is written.
    pub slug: String,
    /// The change as a sentence.
    pub sentence: String,
    /// True where an assessor would ask about it.
    pub red_flag: bool,
}

/// What the scheduled job tells a person.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DigestView {
    /// Heading ("Monthly digest, November 2026").
    pub title: String,
    /// The as-of date.
    pub as_of: f64,
    /// As-of date of the run compared with; `None` for the first run.
    pub previous: Option<f64>,
    /// Histories in this run.
    pub histories: usize,
    /// Histories with each action, in the order of [`ACTIONS`].
    pub action_counts: [usize; 5],
    /// Changes since then.
    pub changes: Vec<ChangeView>,
    /// Calibrations overdue, and due within 30, 60 and 90 days.
    pub due: DueCounts,
    /// Workload of the next 18 months.
    pub workload: Vec<MonthCount>,
    /// The most urgent, at most ten, most urgent first.
    pub urgent: Vec<FleetRow>,
    /// Notes: what could not be compared and why.
    pub notes: Vec<String>,
}

/// How many calibrations are due when.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DueCounts {
    /// Past the due date.
    pub overdue: usize,
    /// Due within 30 days from the as-of date (overdue not counted).
    pub within_30: usize,
    /// Within 60 days.
    pub within_60: usize,
    /// Within 90 days.
    pub within_90: usize,
}

fn full_name(instrument: &str, point: &str) -> String {
    if point.is_empty() {
        instrument.to_string()
    } else {
        format!("{instrument}, {point}")
    }
}
