/*! `[output]`: what a run writes and where. */

use super::between::template::unknown_word;
use crate::settings::SettingError;
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
        /// Folder of the report, relative to the pipeline file; {year}, {month} and {date} are those of the as-of date.
        folder: String = "reports".to_string(),
        /// Histories that get a chart: all, flagged (any action but keep) or none.
        charts: Charts = Charts::All,
        /// Compare with the run before and write the digest; never with charts = "none".
        digest: bool = true,
    }
}

impl OutputSettings {
    /// Folders that cannot be named.
    pub fn check(&self) -> Vec<SettingError> {
        let told = |word| {
            let message =
                format!("unknown word {word} in braces: expected {{year}}, {{month}} or {{date}}");
            SettingError::new("output", "folder", message)
        };
        unknown_word(&self.folder).map(told).into_iter().collect()
    }
}
