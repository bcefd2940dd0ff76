/*! The pipeline file, its plan, and the order of the stages. */

mod case;
mod decisions;
mod doubts;
mod explain;
pub mod file;
pub mod file_error;
mod file_keys;
mod fits;
mod fleet;
mod group_views;
mod groups;
pub mod jobs;
pub mod output_settings;
mod pages;
mod past;
pub mod plan;
mod replay;
mod run;
mod run_record;
mod sections;
pub mod settings_page;
pub mod start;
mod tables;
mod timings;
pub mod verdict;
mod verdict_words;
mod views;
mod with_reading;

pub use file::Settings;
pub use fits::{Fits, fit_all};
pub use jobs::JobsSettings;
pub use output_settings::{Charts, OutputSettings};
pub use plan::{Plan, PlanError, PlanRequest, plan};
pub use replay::{ReplaySummary, replay, replay_of};
pub use explain::{Explained, explain};
pub use run::{RunError, RunSummary, run};
