/*! From results to what the report shows: tables, views, charts and pages of a run. */

pub mod adoption;
mod by_month;
pub mod case;
pub mod conformity;
pub mod cost;
pub mod diagnostics;
pub mod digest;
pub mod doubts;
pub mod drawn;
pub mod fleet;
mod groups;
pub mod instruments;
pub mod levelled;
mod page_files;
pub mod page_keys;
mod page_list;
pub mod pages;
pub mod past;
mod rates;
pub mod report;
pub mod results;
mod sections;
pub mod sessions;
pub mod spare;
pub mod tables;
pub mod views;
pub mod write;
