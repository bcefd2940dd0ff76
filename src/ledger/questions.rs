/*! What is asked of a plan between two runs: its inputs, and what the next run needs of it. */

use crate::records::reading::files;
use crate::settings::not_named::not_named;
use crate::settings::output::Charts;
use crate::settings::plan::Plan;
use std::path::PathBuf;

impl Plan {
    /// Every file that is read.
    pub(crate) fn inputs(&self) -> Vec<PathBuf> {
        let jobs = self.place_of(&self.settings.jobs.file);
        // A book that is not there yet holds nothing.
        let books = self.books().into_iter().filter(|path| path.exists());
        let thermometry = &self.settings.thermometry;
        let readings = thermometry.files.iter();
        let readings =
            readings.flat_map(|entry| files::find(entry, &self.base).unwrap_or_default().files);
        let facts = self.place_of(&thermometry.thermometers);
        let checks = self.checks.iter().cloned();
        let made = readings.chain(facts);
        checks
            .chain(self.register.clone())
            .chain(made)
            .chain(jobs)
            .chain(books)
            .collect()
    }

    /// The books that persons sign, of cases and of approvals, whether they are there yet or not.
    pub(crate) fn books(&self) -> Vec<PathBuf> {
        let cases = self.place_of(&self.settings.cases.file);
        cases.into_iter().chain(self.approvals.clone()).collect()
    }

    /// Files beside those of checks that are called like them and that are not read.
    pub(crate) fn not_named(&self) -> Vec<PathBuf> {
        not_named(&self.settings, &self.base, &self.reads())
    }

    /// Every file that is read, the pipeline file among them.
    pub(crate) fn reads(&self) -> Vec<PathBuf> {
        let mut files = self.inputs();
        files.extend(self.pipeline_file.clone());
        files
    }

    /// True where the run is compared with the one before.
    pub(crate) fn writes_digest(&self) -> bool {
        self.settings.output.digest && self.settings.output.charts != Charts::None
    }

    /// True where the next run needs to know this one's decisions.
    pub(crate) fn keeps_state(&self) -> bool {
        self.settings.policy.counts_extensions() || self.writes_digest()
    }
}
