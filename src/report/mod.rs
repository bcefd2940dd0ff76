/*! Results out: tables, charts, Markdown and the page. Imports results, never computes them. */

pub mod folder;
pub mod table;
