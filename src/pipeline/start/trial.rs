/*! A trial reading of files by the text of a pipeline file. */

use super::person::{StartError, parsed};
use crate::records::reading::files;
use crate::records::{FormerNames, LoadError, Loaded, Request, date, load};
use crate::settings::named_files;
use chrono::NaiveDate;
use std::path::{Path, PathBuf};

/// What a trial reads: a pipeline file's text, and the files with their forms.
pub(super) struct Trial<'a> {
    /// Folder that shown paths are relative to.
    pub folder: &'a Path,
    /// The as-of date.
    pub today: NaiveDate,
    /// The tables of the pipeline file of what stands beside the checks.
    pub beside: &'a str,
}

impl Trial<'_> {
    /// Reads the files that the text of a pipeline file names.
    pub(crate) fn read_all(&self, text: &str) -> Result<Result<Loaded, LoadError>, StartError> {
        let file = parsed(text)?;
        let (files, _) = named_files::resolve_checks(&file, self.folder, &mut Vec::new());
        let (files, forms): (Vec<PathBuf>, Vec<usize>) = files.into_iter().unzip();
        self.read(text, &files, &forms)
    }

    /// Reads files by the text of a pipeline file.
    pub(crate) fn read(
        &self,
        text: &str,
        checks: &[PathBuf],
        forms: &[usize],
    ) -> Result<Result<Loaded, LoadError>, StartError> {
        let file = parsed(text)?;
        let settings = &file.settings.register;
        let register = settings.file.as_ref().map(|name| self.folder.join(name));
        let former = register.as_ref().map(|path| {
            let shown = files::shown(path, self.folder);
            FormerNames::of_register(path, &shown, settings)
        });
        let former = match former.unwrap_or_else(|| Ok(FormerNames::default())) {
            Ok(former) => former,
            Err(why) => return Ok(Err(why)),
        };
        Ok(load(&Request {
            checks,
            register: register.as_deref(),
            base: self.folder,
            checks_settings: &file.settings.checks,
            forms,
            register_settings: settings,
            approvals: None,
            former: &former,
            as_of: date::days_of(self.today),
            books_as_of: date::days_of(self.today),
        }))
    }
}
