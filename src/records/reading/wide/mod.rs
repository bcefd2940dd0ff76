/*! Wide tables: one row an item, one column a date; or one row a date, one column a point. They
are read as one row a check. */

mod columns;
mod door;
mod header_parts;
mod long;
mod nominal;
mod settings;
mod units;
mod unpivot;

pub(crate) use door::{Door, lacking};
pub(crate) use header_parts::{dated_parts, numbered_parts, without_unit};
pub(crate) use long::Long;
pub(crate) use nominal::{bare_nominal, nominal};
pub(crate) use settings::WideSettings;
pub(crate) use unpivot::unpivot;
