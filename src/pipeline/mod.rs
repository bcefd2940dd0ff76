/*! The pipeline file, its plan, and the order of the stages. */

mod case;
mod decisions;
mod doubts;
pub mod file;
pub mod file_error;
mod file_keys;
mod fits;
mod fleet;
mod groups;
mod jobs;
pub mod output_settings;
mod pages;
pub mod plan;
mod run;
mod run_record;
pub mod settings_page;
pub mod start;
mod tables;
mod timings;
mod views;

pub use case::Case;
pub use file::Settings;
pub use fits::{Fits, fit_all};
pub use jobs::JobsSettings;
pub use output_settings::{Charts, OutputSettings};
pub use plan::{Plan, PlanError, PlanRequest, plan};
pub use run::{RunError, RunSummary, run};
