/*! Reports out: charts, Markdown, the page, the digest, the calendar.

Nothing here computes a result: each function turns a view ([`HistoryView`],
[`FleetView`], [`DigestView`]) into the text of one file.
*/

mod cautions;
pub mod charts;
pub mod folder;
#[cfg(test)]
mod gallery;
pub mod page;
#[cfg(test)]
mod samples;
mod summary;
pub mod table;
pub mod tables;
pub mod text;
mod view;
mod words;

pub use cautions::{ADVICE, CAUTIONS};
pub use summary::summary;
pub use text::{neutralise, slugs};
pub use view::{
    ACTIONS, ChangeView, CostCurve, CurvePoint, DigestView, DriftRate, DueCounts, FleetRow,
    FleetView, GroupView, HistoryView, MonthCount, ProportionView, ProposalView, ReadingView,
    RejectView, ReliabilityCurve, RowCounts, SectionView, ToleranceStep, needs_person, urgency,
};
