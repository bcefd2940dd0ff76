/*! The pipeline file, its plan, and the order of the stages. */

pub(crate) mod ask_stage;
mod deciding;
pub(crate) mod evidence;
pub(crate) mod explain;
pub(crate) mod fits;
pub(crate) mod groups;
mod handing_over;
pub(crate) mod named;
mod nothing_accepted;
mod parts;
pub(crate) mod replay;
pub(crate) mod run;
pub(crate) mod run_record;
pub(crate) mod run_summary;
mod session_readings;
pub mod start;
pub mod thermometry;
pub(crate) mod timings;
mod value;
pub mod verdict;
pub mod worker;

pub use ask_stage::AskError;
pub use evidence::evidence;
pub use explain::{Explained, explain};
pub use handing_over::Redo;
pub use replay::replay;
pub use run::run;
pub use run_summary::RunSummary;
pub use value::{Value, value};
