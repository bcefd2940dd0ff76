/*! Reports out: charts, Markdown, the page, the digest, the calendar.

Nothing here computes a result: each function turns a view ([`HistoryView`],
[`FleetView`], [`DigestView`]) into the text of one file.
*/

pub mod compose;
pub mod run_error;

mod calendar;
mod cautions;
pub mod charts;
mod csv_rows;
mod digest;
mod digest_json;
pub mod fits_table;
pub mod folder;
mod folder_error;
#[cfg(test)]
mod gallery;
mod lock;
pub mod own_files;
pub mod page;
pub mod proof;
#[cfg(test)]
mod samples;
mod slug;
mod summary;
pub mod table;
mod table_file;
pub mod table_writer;
pub mod tables;
pub mod text;
mod view;
mod whole_file;
mod words;
pub mod worksheet;

pub use calendar::calendar;
pub use cautions::{ADVICE, CAUTIONS};
pub use compose::case::Case;
pub use digest::{digest_markdown, digest_text};
pub use digest_json::digest_json;
pub use run_error::RunError;
pub use slug::slugs;
pub use summary::summary;
pub use view::{
    ACTIONS, BookView, ChangeView, ControlMark, ControlPath, ControlPoint, ControlView, CostCurve,
    CurvePoint, DigestView, DriftRate, DueCount, DueCounts, FigureView, FleetRow, FleetView,
    GroupView, HistoryView, InstrumentRow, MonthCount, OpenCase, OtherAxis, ProportionView,
    ProposalView, RangePoint, RangeView, ReadingView, RejectView, ReliabilityCurve,
    ReliabilityPoint, RowCounts, SectionView, ToleranceStep, ValueStep, WorkloadView, YearMark,
    YearView, needs_person, urgency,
};
pub use whole_file::{WholeFile, write_whole};
