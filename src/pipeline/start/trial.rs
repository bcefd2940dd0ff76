/*! A trial reading of files by the text of a pipeline file. */

use super::person::{StartError, parsed};
use crate::records::reading::files;
use crate::records::{
    ChecksSettings, FormerNames, LoadError, Loaded, RegisterSettings, Request, date, load,
};
use crate::settings::file::Settings;
use crate::settings::named_files;
use chrono::NaiveDate;
use std::cell::RefCell;
use std::path::{Path, PathBuf};

/// What a trial reads: a pipeline file's text, and the files with their forms.
pub(super) struct Trial<'a> {
    /// Folder that shown paths are relative to.
    pub folder: &'a Path,
    /// The as-of date.
    pub today: NaiveDate,
    /// The tables of the pipeline file of what stands beside the checks.
    pub beside: &'a str,
    /// The last reading that failed, and why: the accounts need not read all of it once more.
    pub failed: RefCell<Option<(Read, LoadError)>>,
}

/// What is read, and by which settings; answers to doubts change no reading that fails.
#[derive(Debug, PartialEq)]
pub(super) struct Read {
    checks: ChecksSettings,
    register: RegisterSettings,
    files: Vec<PathBuf>,
    forms: Vec<usize>,
}

impl Read {
    fn of(settings: &Settings, files: &[PathBuf], forms: &[usize]) -> Self {
        let mut checks = settings.checks.clone();
        checks.doubts.clear();
        // What they name are the files.
        checks.files.clear();
        Read {
            checks,
            register: settings.register.clone(),
            files: files.to_vec(),
            forms: forms.to_vec(),
        }
    }
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
        let own = Read::of(&file.settings, checks, forms);
        let failed = self.failed.borrow();
        if let Some((_, why)) = failed.as_ref().filter(|(read, _)| *read == own) {
            return Ok(Err(why.clone()));
        }
        drop(failed);
        let loaded = load(&Request {
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
        });
        if let Err(why) = &loaded {
            self.failed.replace(Some((own, why.clone())));
        }
        Ok(loaded)
    }
}
