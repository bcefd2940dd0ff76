/*! The pipeline file, its plan, and the order of the stages. */

mod case;
mod decisions;
mod evidence;
mod doubts;
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
pub mod settings_page;
pub mod start;
mod tables;
mod timings;
pub mod verdict;
mod verdict_words;
mod views;
mod with_reading;

pub use case::Case;
pub use evidence::evidence;
pub use file::Settings;
pub use fits::{Fits, fit_all};
pub use jobs::JobsSettings;
pub use output_settings::{Charts, OutputSettings};
pub use plan::{Plan, PlanError, PlanRequest, plan};
pub use replay::{ReplaySummary, replay, replay_of};
pub use run::{RunError, RunSummary, run};
