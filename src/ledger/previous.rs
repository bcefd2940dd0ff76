/*! The state of an earlier run, kept beside that of the report. */

use super::standing::StandingReport;
use super::state;
use super::state::{KeptHistory, NotRead};
use crate::files::run_error::RunError;
use crate::records::reading::plain_file;
use crate::records::reading::plain_file::LARGEST_MB;
use std::path::Path;

/// An earlier run's state.
#[derive(Debug, Clone)]
pub(crate) struct Previous {
    /// Its as-of date, days since 1970-01-01.
    pub day: f64,
    /// SHA-256 of its settings.
    pub settings_sha256: String,
    pub histories: Vec<KeptHistory>,
    run_record: String,
}

impl Previous {
    pub(super) fn keep(&self, folder: &Path) -> Result<(), RunError> {
        let failed = |why| RunError::write("kept", why);
        std::fs::create_dir_all(folder).map_err(failed)?;
        std::fs::write(folder.join("run.json"), &self.run_record).map_err(failed)?;
        state::keep(&self.histories, folder)
    }

    /// The run of the `record` whose state is in the folder `kept`.
    ///
    /// # Errors
    /// A record or a state that cannot be read.
    pub(super) fn read(record: &Path, kept: &Path) -> Result<Self, NotRead> {
        let run_record = plain_file::read_text(record, LARGEST_MB);
        let run_record = run_record.map_err(|why| NotRead::of(record, why))?;
        let run: StandingReport =
            serde_json::from_str(&run_record).map_err(|why| NotRead::of(record, why))?;
        Ok(Self {
            day: run.day(),
            settings_sha256: run.settings_sha256,
            histories: state::read(kept)?,
            run_record,
        })
    }
}
