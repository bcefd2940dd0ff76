/*! The pipeline file, its plan, and the order of the stages. */

pub mod file;
pub mod file_error;
pub mod output_settings;
pub mod plan;
