/*! CSV: its text, its records and rows, and the checks that they become. */

pub(crate) mod file;
pub(crate) mod quoted;
pub(crate) mod records;
mod rows;
mod sections;
pub(crate) mod text;
pub(crate) mod text_rows;
