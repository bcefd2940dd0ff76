/*! What the scheduled job tells a person. */

use super::{FleetRow, WorkloadView};

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
    /// Histories with each action, in the order of [`super::Action::ALL`].
    pub action_counts: [usize; 5],
    /// Findings and signals that nobody has closed.
    pub open_cases: usize,
    /// Of them, signals of control charts.
    pub open_signals: usize,
    /// Changes since then.
    pub changes: Vec<ChangeView>,
    /// Calibrations overdue, and due within 30, 60 and 90 days.
    pub due: DueCounts,
    /// Workload of the next 18 months.
    pub workload: WorkloadView,
    /// The most urgent first, in ten lines at the most: those of which the same is said in one.
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
