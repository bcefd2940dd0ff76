/*! The sessions of a thermometer: tables, and the parts of its page. */

pub mod sections;
pub mod tables;
pub mod values;
mod work;
mod year;
