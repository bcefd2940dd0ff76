/*! Wide tables: one row an item, one column a date. They are read as one row a check. */

mod columns;
mod settings;
mod unpivot;

pub(crate) use columns::{Columns, parts_of};
pub use settings::WideSettings;
pub(crate) use unpivot::{Written, unpivot, wide_header};
