/*! Reports out, on three floors that look down only: `compose` turns the results of a run into views and rows;
`view` holds them ([`HistoryView`], [`FleetView`], [`DigestView`]) as plain values; and `page`, `charts`, `digest`,
`summary`, `tables` and the others here each turn a view or rows into one kind of file, computing nothing.
*/

pub(crate) mod compose;

mod calendar;
mod cautions;
pub mod charts;
mod csv_rows;
mod digest;
pub(crate) mod fits_table;
#[cfg(test)]
mod gallery;
pub(crate) mod gathered;
pub(crate) mod merged_tables;
mod nonconformity;
pub mod page;
pub(crate) mod proof;
pub(crate) mod row_table;
#[cfg(test)]
mod samples;
mod slug;
mod summary;
pub(crate) mod table;
mod table_file;
pub(crate) mod table_stream;
pub(crate) mod table_writer;
pub(crate) mod tables;
pub(crate) mod text;
mod view;
mod words;
pub(crate) mod worksheet;

pub(crate) use calendar::calendar;
pub(crate) use digest::{digest_json, digest_markdown, digest_text, said};
pub(crate) use slug::slugs;
pub(crate) use summary::summary;
pub use view::{
    Action, CurvePoint, DigestView, FleetRow, FleetView, HistoryView, ReadingView, SparkPoint,
    ToleranceStep,
};
pub(crate) use view::{
    ApprovedEnd, ApprovedView, BookView, ChangeView, ControlMark, ControlPath, ControlPoint,
    ControlView, CostCurve, DriftRate, DueCount, DueCounts, FigureView, GroupView, GrowthPoint,
    GrowthView, InstrumentRow, MonthCount, OpenCase, OtherAxis, ProportionView, ProposalView,
    RangeView, RecordView, RejectView, ReliabilityCurve, ReliabilityPoint, SectionView, ValueStep,
    WorkloadView, YearMark, YearView,
};
