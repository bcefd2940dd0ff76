/*! `[output]`: what a run writes and where. */

use serde::{Deserialize, Serialize};

/// Which histories get a chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, clap::ValueEnum)]
#[serde(rename_all = "lowercase")]
pub enum Charts {
    /// Every history.
    #[default]
    All,
    /// Histories that ask for something: any action but keep.
    Flagged,
    /// None.
    None,
}

crate::settings! {
    /// What a run writes.
    pub struct OutputSettings in "output" {
        /// Folder of the report, relative to the pipeline file.
        folder: String = "reports".to_string(),
        /// Histories that get a chart: all, flagged (any action but keep) or none.
        charts: Charts = Charts::All,
    }
}
