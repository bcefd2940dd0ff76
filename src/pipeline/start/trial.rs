/*! A trial reading of files by the text of a pipeline file. */

use super::person::{StartError, parsed};
use crate::records::{FormerNames, LoadError, Loaded, RegisterSettings, Request, date, load};
use chrono::NaiveDate;
use std::path::{Path, PathBuf};

/// What a trial reads: a pipeline file's text, and the files with their forms.
pub(super) struct Trial<'a> {
    /// Folder that shown paths are relative to.
    pub folder: &'a Path,
    /// The as-of date.
    pub today: NaiveDate,
}

impl Trial<'_> {
    /// Reads files by the text of a pipeline file.
    pub fn read(
        &self,
        text: &str,
        files: &[PathBuf],
        forms: &[usize],
    ) -> Result<Result<Loaded, LoadError>, StartError> {
        let file = parsed(text)?;
        Ok(load(&Request {
            checks: files,
            register: None,
            base: self.folder,
            checks_settings: &file.settings.checks,
            forms,
            register_settings: &RegisterSettings::default(),
            approvals: None,
            former: &FormerNames::default(),
            as_of: date::days_of(self.today),
        }))
    }
}
