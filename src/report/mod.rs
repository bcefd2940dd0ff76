/*! Reports out: charts, Markdown, the page, the digest, the calendar.

Nothing here computes a result: each function turns a view ([`HistoryView`],
[`FleetView`], [`DigestView`]) into the text of one file.
*/

pub mod charts;
pub mod folder;
#[cfg(test)]
mod samples;
pub mod table;
pub mod text;
mod view;

pub use text::{neutralise, slugs};
pub use view::{
    ACTIONS, ChangeView, CostCurve, CurvePoint, DigestView, DriftRate, DueCounts, FleetRow,
    FleetView, GroupView, HistoryView, MonthCount, ProportionView, ProposalView, ReadingView,
    RejectView, ReliabilityCurve, RowCounts, SectionView, ToleranceStep, needs_person, urgency,
};
