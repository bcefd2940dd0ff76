/*! The pipeline file, its plan, and the order of the stages. */

pub(crate) mod ask_stage;
mod book;
mod deciding;
pub(crate) mod evidence;
pub(crate) mod explain;
pub(crate) mod fits;
pub(crate) mod groups;
mod handing_over;
pub(crate) mod named;
mod nothing_accepted;
mod parts;
mod remembered;
pub(crate) mod replay;
pub(crate) mod run;
pub(crate) mod run_record;
pub(crate) mod run_summary;
mod session_readings;
pub(crate) mod start;
pub(crate) mod thermometry;
pub(crate) mod timings;
mod value;
pub(crate) mod verdict;
pub(crate) mod worker;

pub(crate) use ask_stage::AskError;
pub(crate) use evidence::evidence;
pub(crate) use explain::{Explained, explain};
pub(crate) use handing_over::Redo;
pub(crate) use replay::replay;
pub(crate) use run::run;
pub(crate) use run_summary::RunSummary;
pub(crate) use value::{Value, value};
