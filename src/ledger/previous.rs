/*! The state of an earlier run, kept beside that of the report. */

use super::standing::StandingReport;
use super::state;
use super::state::{KeptHistory, NotRead};
use crate::files::run_error::RunError;
use crate::records::InputFile;
use crate::records::reading::plain_file;
use crate::records::reading::plain_file::LARGEST_MB;
use crate::words::and_others;
use std::collections::BTreeMap;
use std::path::Path;

/// An earlier run's state.
#[derive(Debug, Clone)]
pub(crate) struct Previous {
    /// Its as-of date, days since 1970-01-01.
    pub day: f64,
    /// SHA-256 of its settings.
    pub settings_sha256: String,
    pub histories: Vec<KeptHistory>,
    /// SHA-256 of every file that it read, by its path.
    inputs: BTreeMap<String, String>,
    run_record: String,
}

/// Files named in one sentence.
const FILES_NAMED: usize = 4;

impl Previous {
    /// What has changed since that run, of the files that either read and the settings, in words: where checks read
    /// otherwise, one of them says why.
    pub(crate) fn differs(&self, inputs: &[InputFile], settings_sha256: &str) -> String {
        let now: BTreeMap<&str, &str> = inputs
            .iter()
            .map(|input| (input.path.as_str(), input.sha256.as_str()))
            .collect();
        let then = |path: &str| self.inputs.get(path).map(String::as_str);
        let gone = self.inputs.keys().map(String::as_str);
        let gone = gone.filter(|path| !now.contains_key(path));
        let other = now
            .iter()
            .filter(|(path, sha256)| then(path) != Some(*sha256));
        let mut files: Vec<&str> = gone.chain(other.map(|(path, _)| *path)).collect();
        files.sort_unstable();
        let settings = (self.settings_sha256 != settings_sha256).then_some("the settings");
        let all: Vec<&str> = settings.into_iter().chain(files).collect();
        match all.len() {
            0 => "no file and no setting has changed since then".into(),
            number => format!(
                "changed since then: {}{}",
                all[..number.min(FILES_NAMED)].join(", "),
                and_others(number.saturating_sub(FILES_NAMED))
            ),
        }
    }

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
            inputs: run.inputs.into_iter().map(|i| (i.path, i.sha256)).collect(),
            histories: state::read(kept)?,
            run_record,
        })
    }
}
