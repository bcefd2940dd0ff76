/*! Records in: check histories and the register, screened into [`Histories`].

A file becomes [`Batch`](batch)es of typed columns, each row judged once
(`row`); the rows of all files are grouped by instrument and point (`group`),
screened as histories (`screen`) and gathered into columns (`build`). Every row
ends as used, merged or rejected: see [`RowCounts`].
*/

mod accounts;
mod alike;
mod append;
mod append_check;
mod append_file;
mod append_row;
mod append_rows;
mod batch;
mod build;
mod collect;
mod column;
mod csv_file;
mod csv_records;
mod csv_text;
pub mod date;
mod field;
pub mod files;
mod grid;
mod group;
pub mod guess;
mod guess_columns;
mod guess_dates;
mod guess_draft;
mod guess_words;
mod header;
mod history;
mod load;
mod marks;
mod names;
mod needed;
mod nominal;
pub mod number;
mod outcome;
mod own_header;
mod own_report;
mod parquet_column;
mod parquet_file;
mod parquet_odd;
pub mod plain_file;
mod register;
mod repeats;
mod resolution;
mod row;
mod said;
mod screen;
mod settings;
mod source;
mod suspect;
mod suspect_found;
mod suspect_values;
mod table;
mod tolerance;

pub use accounts::{
    InputFile, LoadError, Loaded, LostFailures, RegisterCounts, Reject, RowCounts, Warning,
};
pub use alike::NearNames;
pub use append::append;
pub use append_check::{AppendError, NewCheck};
pub use append_rows::{RowsFormat, append_rows};
pub use column::Column;
pub(crate) use csv_text::sniff;
pub use field::{Field, event};
pub use grid::Grid;
pub use header::{means_tolerance, nearest};
pub use history::{CheckKind, Columns, DAYS_PER_YEAR, Event, Histories, History, Item, Outcome};
pub use load::{MadeChecks, OtherUnit, Request, load, load_group, load_with};
pub use marks::Marks;
pub use own_header::OwnHeader;
pub use own_report::{RECORD, is_report};
pub use said::Carried;
pub use settings::{
    AsFoundIs, CheckColumns, ChecksSettings, Delimiter, Encoding, RegisterColumns,
    RegisterSettings, Repeats, Thousands,
};
pub use source::{input_of, read_input};
pub use table::{Table, TableColumn};
pub use tolerance::Tolerance;

#[cfg(test)]
mod accounting_tests;
#[cfg(test)]
mod parquet_tests;
