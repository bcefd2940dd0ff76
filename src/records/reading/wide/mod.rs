/*! Wide tables: one row an item, one column a date; or one row a date, one column a point. They
are read as one row a check. */

mod columns;
mod nominal;
mod settings;
mod unpivot;

pub(crate) use columns::{dated_parts, without_unit};
pub(crate) use nominal::{bare_nominal, nominal};
pub(crate) use settings::WideSettings;
pub(crate) use unpivot::{Door, Long, Written, lacking, unpivot};
