/*! What to load, and the reading of it: files of checks and the register. */

use super::collect::FileRows;
use super::tables::{read_file, read_made, read_part};
use crate::records::FormerNames;
use crate::records::accounts::LoadError;
use crate::records::cells::batch::Batch;
use crate::records::cells::row::needed::Needed;
use crate::records::cells::row::rules::Rules;
use crate::records::made_checks::MadeChecks;
use crate::records::reading::files;
use crate::records::reading::header::COLUMNS;
use crate::records::register::{self, Register};
use crate::records::settings::{ChecksSettings, RegisterSettings};
use rayon::prelude::*;
use std::collections::HashSet;
use std::path::{Path, PathBuf};

/// What to load.
#[derive(Debug, Clone, Copy)]
pub struct Request<'a> {
    /// Files of checks, in order.
    pub checks: &'a [PathBuf],
    /// The register, where there is one.
    pub register: Option<&'a Path>,
    /// Folder that shown paths are relative to.
    pub base: &'a Path,
    /// `[checks]`.
    pub checks_settings: &'a ChecksSettings,
    /// The form in which each file is written, see `ChecksSettings::form`; the first where
    /// none is stated.
    pub forms: &'a [usize],
    /// `[register]`.
    pub register_settings: &'a RegisterSettings,
    /// The book of approvals, where there is one.
    pub approvals: Option<&'a Path>,
    /// Former names of the items.
    pub former: &'a FormerNames,
    /// The as-of date, days since 1970-01-01; later checks are rejected.
    pub as_of: f64,
    /// The day on which register and approvals are taken to be read: the as-of date, but for a verdict, which
    /// looks at every check.
    pub books_as_of: f64,
}

/// Reads every file of checks, then those made elsewhere; of text tables only the rows `needed`.
pub(crate) fn read_files(
    request: &Request<'_>,
    made: &[MadeChecks],
    needed: Option<&Needed>,
) -> Result<Vec<FileRows>, LoadError> {
    let forms = std::iter::once(request.checks_settings).chain(&request.checks_settings.other);
    let of_checks = forms.flat_map(|form| form.sheets.iter().map(String::as_str));
    let of_register = Some(request.register_settings.sheet.as_str());
    let of_register = of_register.filter(|sheet| !sheet.is_empty());
    let named: Vec<&str> = of_checks.chain(of_register).collect();
    let read = |(index, path): (usize, &PathBuf)| {
        let rules = rules(request, index).only(needed);
        read_file(path, &files::shown(path, request.base), &rules, &named)
            .map_err(|why| of_one_among(request.checks.len(), why))
    };
    // The first error by the order of the files, whichever thread meets one first.
    let read: Vec<Result<Vec<FileRows>, LoadError>> =
        request.checks.par_iter().enumerate().map(read).collect();
    let read: Vec<Vec<FileRows>> = read.into_iter().collect::<Result<_, _>>()?;
    let mut files: Vec<FileRows> = read.into_iter().flatten().collect();
    files.extend(read_all_made(request, made)?);
    Ok(files)
}

/// The same error, of a file or a sheet that lacks a mapped column while there are others: it may be written in another way.
fn of_one_among(files: usize, mut why: LoadError) -> LoadError {
    if why.setting != COLUMNS {
        return why;
    }
    if why.place.contains(", sheet \"") {
        why.mend += "\n  Where other sheets have it, this one needs a [[checks.other]] of its own, with its name under sheets.";
    } else if files > 1 {
        why.mend += "\n  Where it is written in another way than the others, driftbook start reads it as a form of its own.";
    }
    why
}

/// By what the rows of the file with this index are judged.
pub(crate) fn rules<'a>(request: &Request<'a>, index: usize) -> Rules<'a> {
    let form = request.forms.get(index).copied().unwrap_or(0);
    Rules::new(request.checks_settings.form(form), request.as_of)
}

/// The texts that stand for the files of checks.
pub(super) fn read_texts(
    request: &Request<'_>,
    texts: &[String],
    needed: &Needed,
) -> Result<Vec<FileRows>, LoadError> {
    let read = |(index, (path, text)): (usize, (&PathBuf, &String))| {
        let rules = rules(request, index).only(Some(needed));
        read_part(text, &files::shown(path, request.base), &rules)
    };
    request
        .checks
        .iter()
        .zip(texts)
        .enumerate()
        .map(read)
        .collect()
}

fn read_all_made(request: &Request<'_>, made: &[MadeChecks]) -> Result<Vec<FileRows>, LoadError> {
    let own = ChecksSettings::default();
    let rules = Rules::new(&own, request.as_of);
    made.iter()
        .map(|checks| read_made(checks, &rules))
        .collect()
}

/// The register, of which only the rows `needed` are kept where they are told.
pub(crate) fn register_of<'a>(
    request: &Request<'a>,
    needed: Option<&Needed>,
) -> Result<Option<Register<'a>>, LoadError> {
    let read = |path: &Path| {
        register::read(
            path,
            &files::shown(path, request.base),
            request.register_settings,
            (request.checks_settings.trim_names, request.books_as_of),
            needed,
        )
    };
    request.register.map(read).transpose()
}

/// The rows of the register that tell of the instruments in `batches`, and these instruments.
pub(super) fn register_of_batches<'a>(
    request: &Request<'a>,
    batches: &[Batch],
) -> Result<(Option<Register<'a>>, Needed), LoadError> {
    let names = batches.iter().flat_map(|batch| batch.names.iter());
    let present = names.map(|(name, _)| request.former.present(name).to_string());
    let needed = needed(request, present.collect());
    let register = register_of(request, None)?.map(|register| register.only(&needed));
    Ok((register, needed))
}

/// The instruments `names`, also under the names that they had.
pub(crate) fn needed(request: &Request<'_>, mut names: HashSet<String>) -> Needed {
    let members: Vec<String> = names.iter().cloned().collect();
    let former = members.iter().flat_map(|name| request.former.of(name));
    names.extend(former.map(str::to_string));
    Needed::new(names, request.checks_settings.trim_names)
}
