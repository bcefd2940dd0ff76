/*! The fleet: one row a history, where the rows of the records went, how it was run. */

use super::{Action, CostCurve, GroupView, OpenCase, ProportionView, SectionView};

use crate::records::RowCounts;
use crate::report::text::{iso_date, percent};
use crate::words::history_name;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// One reading of a sparkline.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct SparkPoint {
    /// Day of the check.
    pub day: f64,
    /// Error as found.
    pub error: f64,
    /// True where an event since the reading before moved the value: the line begins anew.
    pub begins: bool,
}

/// One row of the fleet's table.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct FleetRow {
    /// Identity of the instrument.
    pub instrument: String,
    /// Quantity or set point; may be empty.
    pub point: String,
    /// Class; may be empty.
    pub group: String,
    /// Unit of the error.
    pub unit: String,
    /// File name without extension, from `crate::report::slugs`.
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
    /// The same on the date to act on, where no proposal has been approved.
    pub probability_when_due: Option<f64>,
    /// Interval in force, days.
    pub current_interval_days: Option<f64>,
    /// Interval decided, days.
    pub interval_days: Option<f64>,
    /// Date the calibration is due by the interval in force, or assigned to where the workload is
    /// levelled.
    pub due_day: Option<f64>,
    /// Due date of a proposal that nobody has approved yet.
    pub proposed_due: Option<f64>,
    /// True where it is lent or stored: no date makes it overdue.
    pub away: bool,
    /// Why an approval of the proposal could take no effect, in a few words; empty where it can.
    pub bar: Cow<'static, str>,
    /// What is to be done.
    pub action: Action,
    /// What decided, in a few words; may be empty.
    pub cause: String,
    /// The decision's sentence.
    pub reason: String,
    /// Method the decision followed.
    pub method: String,
    /// Last readings for the sparkline; may be empty.
    pub spark: Vec<SparkPoint>,
    /// Tolerance for the sparkline: (lower, upper).
    pub tolerance: (Option<f64>, Option<f64>),
}

impl FleetRow {
    /// "TH-014" or "TH-014, 100 °C".
    pub(crate) fn name(&self) -> String {
        history_name(&self.instrument, &self.point)
    }

    /// The smaller, the more urgent: action, then due date.
    pub(crate) fn urgency(&self) -> (usize, u64) {
        let due = self.due_day.unwrap_or(f64::INFINITY);
        (self.action as usize, ascending(due))
    }

    /// Leaves out the words that nothing says of a row that no list shows.
    pub(crate) fn forget_words(&mut self) {
        (self.status, self.reason, self.method) = Default::default();
        if !self.action.needs_person() {
            self.cause = String::new();
        }
    }

    /// The date to act on: "now" for what is withdrawn, whatever interval it had.
    pub(crate) fn when(&self) -> String {
        match (self.action, self.due_day) {
            (Action::Withdraw, _) => "now".into(),
            (_, Some(day)) => iso_date(day),
            (_, None) => "none".into(),
        }
    }

    /// The interval decided, days; none for what is withdrawn, which is not used before its next
    /// calibration.
    pub(crate) fn next_interval(&self) -> Option<f64> {
        self.interval_days
            .filter(|_| self.action != Action::Withdraw)
    }

    /// The probability in tolerance at the due date, in words: "none" for what is withdrawn,
    /// which has no interval to hold it for.
    pub(crate) fn when_due_words(&self) -> String {
        match (self.action, self.probability_in_tolerance) {
            (Action::Withdraw, _) => "none".into(),
            (_, Some(probability)) => percent(probability),
            (_, None) => "unknown".into(),
        }
    }

    /// True where the due date lies before `as_of` and the item serves.
    pub(crate) fn overdue(&self, as_of: f64) -> bool {
        !self.away && self.due_day.is_some_and(|due| due < as_of)
    }

    /// True where a shorter interval that nobody has approved yet had ended when it was decided.
    pub(crate) fn to_calibrate_now(&self, as_of: f64) -> bool {
        !self.away && !self.action.needs_person() && self.proposed_due == Some(as_of)
    }

    /// True where the due date lies before `as_of` and the item is lent or stored: it is calibrated before it serves again.
    pub(crate) fn late_while_away(&self, as_of: f64) -> bool {
        self.away && self.due_day.is_some_and(|due| due < as_of)
    }

    /// "proposed 2027-03-01, not approved"; empty where no proposal waits.
    pub(crate) fn proposed(&self) -> String {
        self.proposed_due.map_or(String::new(), |day| {
            format!("proposed {}, not approved", iso_date(day))
        })
    }
}

/// One instrument with all its points.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct InstrumentRow {
    /// Identity of the instrument.
    pub instrument: String,
    /// Its point, where it has one only.
    pub point: String,
    /// Number of its points.
    pub points: usize,
    /// Class; may be empty.
    pub group: String,
    /// The worst of its points.
    pub action: Action,
    /// The earliest date on which a point is due by the intervals in force; at once where it is
    /// withdrawn.
    pub due_day: Option<f64>,
    /// Why.
    pub reason: String,
}

impl InstrumentRow {
    /// "TH-014", "TH-014, 100 °C" or "TH-014 (3 points)".
    pub(crate) fn name(&self) -> String {
        match self.points {
            0 | 1 => history_name(&self.instrument, &self.point),
            points => format!("{} ({points} points)", self.instrument),
        }
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

/// Calibrations due in one month.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MonthCount {
    /// First day of the month.
    pub month: f64,
    /// Due in it.
    pub due: DueCount,
}

/// Calibrations due.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DueCount {
    /// With today's intervals.
    pub now: u64,
    /// With the decided intervals.
    pub decided: u64,
}

/// The calibrations that the coming months hold.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WorkloadView {
    /// Due before the as-of date.
    pub overdue: DueCount,
    /// Every due date of each month, the first month from the as-of date on; empty = not shown.
    pub months: Vec<MonthCount>,
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
    /// Whether the process is in control, in a sentence; empty where nothing is charted.
    pub process: String,
    /// Failures that no book of cases closes, in a sentence; empty where a book is kept or none failed.
    pub unclosed: String,
    /// Failures of items whose checks are all gone, in a sentence; empty where there are none.
    pub vanished: String,
    /// Intervals in use that nobody states and the record contradicts, in a sentence; empty where there are none.
    pub unstated: String,
    /// The cases that nobody closed, in the table's order; none where no book is kept.
    pub open_cases: Vec<OpenCase>,
    /// True where `control.html` is written beside the page.
    pub control: bool,
    /// One row a history, in the tables' order.
    pub rows: Vec<FleetRow>,
    /// One row an instrument, where the calendar is written.
    pub instruments: Vec<InstrumentRow>,
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
    pub workload: WorkloadView,
    /// Out of tolerance by month, whole fleet (count = out).
    pub out_of_tolerance: Vec<ProportionView>,
    /// Cost curve of the fleet, where costs are given.
    pub cost: Option<CostCurve>,
    /// True where `digest.html` is written beside the page.
    pub digest: bool,
    /// Cautions beside the standing ones.
    pub cautions: Vec<String>,
    /// Further parts of the summary (published numbers reproduced, control charts …).
    pub sections: Vec<SectionView>,
}

impl FleetView {
    /// Histories with each of [`Action::ALL`], in that order.
    pub(crate) fn action_counts(&self) -> [usize; 5] {
        let mut counts = [0; 5];
        for row in &self.rows {
            if let Some(count) = counts.get_mut(row.action as usize) {
                *count += 1;
            }
        }
        counts
    }

    /// How many of the open cases are signals of control charts.
    pub(crate) fn open_signals(&self) -> usize {
        self.open_cases.iter().filter(|case| case.signal).count()
    }

    /// Number of histories of which nothing is decided, since the register has their item as retired or lost.
    pub(crate) fn undecided(&self) -> usize {
        self.rows.len() - self.action_counts().iter().sum::<usize>()
    }

    /// Number of histories that are overdue.
    pub(crate) fn overdue(&self) -> usize {
        let overdue = self.rows.iter().filter(|row| row.overdue(self.as_of));
        overdue.count()
    }

    /// Row numbers sorted by urgency: action, then due date, then table order.
    pub(crate) fn by_urgency(&self) -> Vec<usize> {
        let rows = self.rows.par_iter().enumerate();
        let mut order: Vec<((usize, u64), usize)> =
            rows.map(|(i, row)| (row.urgency(), i)).collect();
        order.par_sort_unstable();
        order.into_iter().map(|(_, i)| i).collect()
    }
}

/// An integer in the order of `f64::total_cmp`.
fn ascending(value: f64) -> u64 {
    let bits = value.to_bits();
    let negative = bits >> 63 == 1;
    if negative { !bits } else { bits | 1 << 63 }
}
