/*! Records in: check histories and the register, screened into [`Histories`].

A file becomes batches of typed columns, each row judged once
(`row`); the rows of all files are grouped by instrument and point (`group`),
screened as histories (`screen`) and gathered into columns (`build`), all at once or, beyond
the memory, part by part (`parts`). Every row
ends as used, merged or rejected: see `RowCounts`.
*/

mod accounts;
pub(crate) mod append;
mod approvals;
pub(crate) mod book;
mod build;
pub(crate) mod cells;
mod collect;
pub mod date;
pub(crate) mod encoding;
mod event;
mod forms;
mod given;
mod grid;
mod group;
pub(crate) mod guess;
mod history;
mod load;
mod made_checks;
mod months;
mod names;
mod own_facts;
pub(crate) mod parts;
mod period;
mod placed;
pub(crate) mod places;
pub(crate) mod reading;
mod register;
mod request;
mod revaluation;
mod screened;
pub(crate) mod screening;
pub(crate) mod serial;
mod setting_words;
mod settings;
mod tables;
mod tolerance;
mod valueless;
pub(crate) mod whole_period;
pub(crate) mod words;
pub(crate) mod written_settings;

pub use accounts::Loaded;
pub(crate) use accounts::{
    InputFile, LoadError, LostFailures, RecordsError, RegisterCounts, Reject, RejectKind,
    RowCounts, Warning, counted, once,
};
pub(crate) use append::check_in::append;
pub(crate) use append::rows::{RowsFormat, append_rows};
pub(crate) use approvals::{APPROVAL_COLUMNS, Approval, ApprovalBook, ApprovalVerdict, Signed};
pub(crate) use cells::field::event;
pub(crate) use cells::marks::Marks;
pub(crate) use encoding::Encoding;
pub use event::{CheckKind, Event, Outcome};
pub(crate) use given::{Certificate, Given, SourceLine, in_force, named};
pub(crate) use grid::Display;
pub use history::{Columns, DAYS_PER_YEAR, Histories, Item};
pub(crate) use history::{History, MOST_DAYS};
pub use load::load;
pub(crate) use load::{load_group, load_stream, load_with};
pub(crate) use made_checks::{MadeChecks, OtherUnit};
pub(crate) use parts::load_within;
pub(crate) use placed::placed;
pub(crate) use reading::csv_text::sniff;
pub(crate) use reading::source::input_of;
pub(crate) use reading::table::{Table, TableColumn};
pub(crate) use reading::wide::WideSettings;
pub use register::FormerNames;
pub(crate) use register::{About, ItemStatus, Role};
pub use request::Request;
#[cfg(test)]
pub(crate) use setting_words::Repeats;
pub(crate) use setting_words::{AsFoundIs, Delimiter, Thousands};
pub(crate) use settings::{CheckColumns, RegisterColumns};
pub use settings::{ChecksSettings, RegisterSettings};
pub use tolerance::Tolerance;

#[cfg(test)]
mod accounting_tests;
#[cfg(test)]
mod parquet_tests;
#[cfg(test)]
pub(crate) mod testing;
