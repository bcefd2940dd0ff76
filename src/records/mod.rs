/*! Records in: check histories and the register, screened into [`Histories`].

A file becomes batches of typed columns, each row judged once
(`cells`); the rows of all files are grouped by instrument and point (`load`),
screened as histories (`screening`) and gathered into columns (`history`), all at once or, beyond
the memory, part by part (`parts`). Every row
ends as used, merged or rejected: see `RowCounts`.
*/

mod accounts;
pub(crate) mod append;
mod approvals;
pub(crate) mod book;
pub(crate) mod cells;
pub mod date;
pub(crate) mod encoding;
mod grid;
pub(crate) mod guess;
mod history;
mod load;
mod made_checks;
pub(crate) mod name_order;
mod own_facts;
pub(crate) mod parts;
pub(crate) mod places;
pub(crate) mod reading;
mod register;
mod revaluation;
pub(crate) mod screening;
pub(crate) mod settings;
mod several_names;
mod valueless;
pub(crate) mod words;

pub use accounts::Loaded;
pub(crate) use accounts::{
    InputFile, LoadError, LostFailures, RecordsError, RegisterCounts, Reject, RejectKind,
    RowCounts, Warning, counted, once,
};
pub(crate) use append::rows::{RowsFormat, append_rows};
#[cfg(test)]
pub(crate) use approvals::HeldInterval;
pub(crate) use approvals::{APPROVAL_COLUMNS, Approval, ApprovalBook, ApprovalVerdict, Signed};
pub(crate) use cells::column::CheckColumns;
pub(crate) use cells::field::event;
pub(crate) use cells::marks::Marks;
pub(crate) use encoding::Encoding;
pub(crate) use grid::Display;
pub use history::event::{CheckKind, Event, Outcome};
pub(crate) use history::given::{Certificate, Given, SourceLine, in_force, named};
pub use history::item::{Item, UnusedCheck};
pub use history::tolerance::Tolerance;
pub use history::{Check, Columns, DAYS_PER_YEAR, Histories};
pub(crate) use history::{History, MOST_DAYS};
pub use load::load;
pub(crate) use load::placed::placed;
pub use load::request::Request;
pub(crate) use load::tables::sheets_read;
pub(crate) use load::{load_group, load_stream, load_with};
pub(crate) use made_checks::{MadeChecks, OtherUnit};
pub(crate) use parts::load_within;
pub(crate) use reading::csv::text::sniff;
pub(crate) use reading::source::input_of;
pub(crate) use reading::table::{Table, TableColumn};
pub(crate) use reading::wide::WideSettings;
pub use register::FormerNames;
pub(crate) use register::columns::RegisterColumns;
pub(crate) use register::{About, ItemStatus, Role};
#[cfg(test)]
pub(crate) use settings::words::Repeats;
pub(crate) use settings::words::{AsFoundIs, Delimiter, Thousands};
pub use settings::{ChecksSettings, RegisterSettings};

#[cfg(test)]
pub(crate) mod testing;
