/*! The sessions of a thermometer: tables, and the parts of its page. */

pub(crate) mod sections;
pub(crate) mod tables;
pub(crate) mod values;
mod work;
mod year;
