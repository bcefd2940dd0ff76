/*! What a person asks for, and the complete, checked [`Plan`] of a run.

No stage that is given one meets a missing setting, a relative path or an unresolved date.
*/

use super::file::Settings;
use super::output::Charts;
use crate::decisions::DecisionTables;
use crate::decisions::cases::closings::Closings;
use crate::impact::jobs::{self, Jobs};
use crate::records::reading::files::resolved;
use crate::records::{self, ChecksSettings, FormerNames, LoadError};
use crate::settings::demo::Demo;
use chrono::NaiveDate;
use std::path::{Path, PathBuf};

/// What a person asks for.
#[derive(Debug, Clone)]
pub struct PlanRequest {
    /// A pipeline file, a records file or a folder of records; `None` for the demo.
    pub path: Option<PathBuf>,
    /// Folder of the report, instead of the pipeline file's.
    pub out: Option<PathBuf>,
    /// As-of date, instead of the pipeline file's.
    pub as_of: Option<String>,
    /// Charts, instead of the pipeline file's.
    pub charts: Option<Charts>,
    /// Today, for a run without an as-of date.
    pub today: NaiveDate,
}

impl PlanRequest {
    /// What `path` holds, as of a date of its own, or of `today`.
    pub fn new(path: Option<PathBuf>, as_of: Option<String>, today: NaiveDate) -> Self {
        Self {
            path,
            out: None,
            as_of,
            charts: None,
            today,
        }
    }
}

/// Where the as-of date came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AsOfFrom {
    /// `--as-of`.
    CommandLine,
    /// `as_of` of the pipeline file.
    PipelineFile,
    /// Today's date.
    Today,
}

/// A run, ready to go: settings complete, files found, dates known.
#[derive(Debug, Clone)]
pub struct Plan {
    /// Every setting.
    pub settings: Settings,
    /// The pipeline file; `None` for plain records.
    pub pipeline_file: Option<PathBuf>,
    /// Folder that input paths are shown relative to.
    pub base: PathBuf,
    /// Files of checks, in order.
    pub checks: Vec<PathBuf>,
    /// The form in which each of them is written, see `ChecksSettings::form`.
    pub forms: Vec<usize>,
    /// The register.
    pub register: Option<PathBuf>,
    /// The book of approvals, which may not be there yet: the one that the pipeline file names,
    /// else that beside it; `None` for plain records.
    pub approvals: Option<PathBuf>,
    /// Former names of the items.
    pub former: FormerNames,
    /// As-of date, whole days since 1970-01-01.
    pub as_of: f64,
    /// The day on which register and books are taken to be read: the as-of date, but for a verdict, which looks at
    /// every check.
    pub(crate) books_as_of: f64,
    /// Where that date came from.
    pub as_of_from: AsOfFrom,
    /// Folder of the report.
    pub out: PathBuf,
    /// True where the command line names that folder.
    pub out_stated: bool,
    /// What was passed over among the records, in words.
    pub left_out: Vec<String>,
    /// The invented demo laboratory, where it is what runs.
    pub demo: Option<Demo>,
}

impl Plan {
    /// Where a file lies that a setting names.
    pub(crate) fn place_of(&self, file: &Option<String>) -> Option<PathBuf> {
        file.as_ref().map(|file| self.base.join(file))
    }

    /// The jobs that the pipeline file names; none where it names no file.
    ///
    /// # Errors
    /// A file that cannot be read as a table, or that lacks a needed column.
    pub(crate) fn jobs(&self) -> Result<Jobs, LoadError> {
        let mut jobs = jobs::of(
            &self.settings.jobs,
            &self.base,
            self.settings.checks.trim_names,
        )?;
        for job in &mut jobs.jobs {
            self.former.renew(&mut job.instrument);
            self.former.renew(&mut job.calibrates);
        }
        Ok(jobs)
    }

    /// The closings of the book that the pipeline file names; `None` where it names none.
    ///
    /// # Errors
    /// A book that cannot be read, or with another header.
    pub(crate) fn closings(&self) -> Result<Option<Closings>, LoadError> {
        Closings::of(
            &self.settings.cases,
            &self.base,
            &self.former,
            self.books_as_of,
        )
    }

    /// What the records room is to load.
    pub fn request(&self) -> records::Request<'_> {
        records::Request {
            checks: &self.checks,
            register: self.register.as_deref(),
            base: &self.base,
            checks_settings: &self.settings.checks,
            forms: &self.forms,
            register_settings: &self.settings.register,
            approvals: self.approvals.as_deref(),
            former: &self.former,
            as_of: self.as_of,
            books_as_of: self.books_as_of,
        }
    }

    /// How the file of checks at `path` is written; `None` where no run reads it.
    pub(crate) fn checks_settings(&self, path: &Path) -> Option<&ChecksSettings> {
        let own = resolved(path);
        let place = self
            .checks
            .iter()
            .position(|other| resolved(other) == own)?;
        let form = self.forms.get(place).copied().unwrap_or(0);
        Some(self.settings.checks.form(form))
    }

    /// The methods' and the policy's tables.
    pub(crate) fn interval_tables(&self) -> DecisionTables {
        self.settings.interval_tables()
    }
}

/// Why there is no plan: text for standard error, exit status 2.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct PlanError(pub(crate) String);
