/*! A first look at a person's own file: what its columns mean, and why we think so. */

mod absolute;
pub(crate) mod beside;
pub(crate) mod columns;
pub(crate) mod dates;
pub(crate) mod doubt;
pub(crate) mod draft;
pub(crate) mod file;
mod follows;
pub(crate) mod headers;
pub(crate) mod length_of_time;
mod letters;
pub(crate) mod looked;
mod named_by;
mod names_once;
mod numbers_apart;
mod other_date;
mod own_facts;
pub(crate) mod points;
mod rows_of_columns;
mod same_days;
mod sample;
mod side_by_side;
mod status;
mod told_apart;
mod unit_above;
mod unread;
pub(crate) mod wide;
