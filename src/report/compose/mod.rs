/*! From results to what the report shows: tables, views, charts and pages of a run. */

pub mod adoption;
pub mod case;
pub mod cases;
pub mod conformity;
pub mod control;
pub mod cost;
pub mod diagnostics;
pub mod digest;
pub mod doubts;
pub mod drawn;
pub mod fleet;
pub mod given;
pub mod levelled;
pub mod pages;
pub mod past;
pub mod report;
mod residuals;
pub mod results;
mod sections;
pub mod sessions;
pub mod table_page;
pub mod tables;
mod title;
mod uncertainty;
pub mod values;
pub mod views;
pub mod write;
