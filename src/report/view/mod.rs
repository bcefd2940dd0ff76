/*! What the report shows: plain values, filled by `compose`, never computed here.

Every field may be left at its default; what is missing is left out of the
report or said in words. Days are days since 1970-01-01.
*/

mod control;
mod digest;
mod fleet;
mod group;
mod history;
mod thermometer;
mod uncertainty;

pub use crate::decisions::policy::Action;
pub(crate) use crate::section::{FigureView, SectionView};
use crate::words::history_name;
pub(crate) use control::{ControlMark, ControlPath, ControlPoint, ControlView};
pub use digest::DigestView;
pub(crate) use digest::{ChangeView, DueCounts};
pub(crate) use fleet::{DueCount, InstrumentRow, MonthCount, RejectView, WorkloadView};
pub use fleet::{FleetRow, FleetView, SparkPoint};
pub(crate) use group::{
    CostCurve, DriftRate, GroupView, ProportionView, ReliabilityCurve, ReliabilityPoint,
};
pub(crate) use history::{BookView, OtherAxis, ProposalView, ValueStep};
pub use history::{CurvePoint, HistoryView, ReadingView, ToleranceStep};
pub(crate) use thermometer::{RangeView, YearMark, YearView};
pub(crate) use uncertainty::{ApprovedEnd, ApprovedView, GROWTH_PARTS, GrowthPoint, GrowthView};

/// A finding or a signal that nobody closed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OpenCase {
    /// Identity of the instrument.
    pub instrument: String,
    /// Quantity or set point; may be empty.
    pub point: String,
    /// File name of its page without extension; empty where it has none.
    pub slug: String,
    /// Day of the check.
    pub day: f64,
    /// What was found, in words.
    pub found: String,
    /// True of a signal of a control chart, which the table `control` has and the table `cases` has not.
    pub signal: bool,
    /// File name of its record in `cases` without extension; empty where there is none.
    pub record: String,
}

/// The record of a nonconformity: one finding with its work in doubt and what became of it.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct RecordView {
    /// Heading.
    pub title: String,
    /// File name without extension.
    pub file: String,
    /// File name of the page and chart of its history, without extension.
    pub slug: String,
    /// What became of it, in a few words.
    pub state: String,
    /// What was found, the work in doubt, what was done; blanks where it is open.
    pub sections: Vec<SectionView>,
    /// The as-of date.
    pub as_of: f64,
}

impl OpenCase {
    /// "TH-014" or "TH-014, 100 °C".
    pub(crate) fn name(&self) -> String {
        history_name(&self.instrument, &self.point)
    }
}
