/*! Records in: check histories and the register, screened into [`Histories`].

A file becomes [`Batch`](batch)es of typed columns, each row judged once
(`row`); the rows of all files are grouped by instrument and point (`group`),
screened as histories (`screen`) and gathered into columns (`build`). Every row
ends as used, merged or rejected: see [`RowCounts`].
*/

mod accounts;
pub(crate) mod append;
mod approval;
mod approvals;
pub mod book;
mod build;
pub(crate) mod cells;
mod collect;
pub mod date;
mod former;
mod forms;
mod grid;
mod group;
pub(crate) mod guess;
mod history;
mod load;
mod made_checks;
mod names;
pub(crate) mod reading;
mod register;
mod role;
pub(crate) mod screening;
mod settings;
mod standing;
mod tables;
mod tolerance;
pub(crate) mod words;

pub use accounts::{
    InputFile, LoadError, Loaded, LostFailures, RecordsError, RegisterCounts, Reject, RowCounts,
    Warning,
};
pub use append::check::{AppendError, NewCheck};
pub use append::check_in::append;
pub use append::rows::{RowsFormat, append_rows};
pub use approval::{APPROVAL_COLUMNS, Approval, Signed, Verdict};
pub use approvals::ApprovalBook;
pub use cells::column::Column;
pub use cells::field::{Field, event};
pub use cells::marks::Marks;
pub use cells::said::Carried;
pub use former::FormerNames;
pub use grid::Grid;
pub use history::{
    CheckKind, Columns, DAYS_PER_YEAR, Event, Histories, History, Item, MOST_DAYS, Outcome,
};
pub use load::{Request, load, load_group, load_with};
pub use made_checks::{MadeChecks, OtherUnit};
pub(crate) use reading::csv_text::sniff;
pub use reading::header::{means_tolerance, nearest};
pub use reading::own_header::OwnHeader;
pub use reading::own_report::{RECORD, is_report};
pub use reading::source::{input_of, read_input};
pub use reading::table::{Table, TableColumn};
pub use reading::wide::WideSettings;
pub use role::{About, Role};
pub use screening::alike::NearNames;
pub use settings::{
    AsFoundIs, CheckColumns, ChecksSettings, Delimiter, Encoding, Pairs, PerCentOf,
    RegisterColumns, RegisterSettings, Repeats, StatedOutcome, Thousands,
};
pub use standing::ItemStatus;
pub use tolerance::Tolerance;

#[cfg(test)]
mod accounting_tests;
#[cfg(test)]
mod parquet_tests;
