/*! The door of this room: files in, [`Loaded`] out, every row accounted for. */

#[cfg(test)]
mod accounting_tests;
pub(crate) mod build;
pub(crate) mod collect;
mod collect_findings;
mod file_day;
pub(crate) mod group;
mod minus_behind;
pub(crate) mod names;
#[cfg(test)]
mod parquet_tests;
pub(crate) mod placed;
pub(crate) mod request;
pub(crate) mod screened;
pub(crate) mod tables;
mod void_rows;

use super::accounts::{LoadError, Loaded};
use super::made_checks::MadeChecks;
use super::places::part::Part;
use super::reading::columnar::arrow_stream::ArrowTable;
use super::register::Register;
use super::screening::resolution::Steps;
use super::settings::ChecksSettings;
use super::settings::words::InstrumentFrom;
use super::{Histories, InputFile};
use collect::FileRows;
use request::{Request, needed, read_files, read_texts, register_of, register_of_batches, rules};
use screened::{refuse_nothing, screened, whole};

/// Reads, screens and groups the records.
///
/// ```
/// use driftbook::records::{ChecksSettings, FormerNames, RegisterSettings, Request, load};
/// use std::path::Path;
///
/// let base = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/reference");
/// let loaded = load(&Request {
///     checks: &[base.join("kilogram.csv")],
///     register: None,
///     base: &base,
///     checks_settings: &ChecksSettings::default(),
///     forms: &[],
///     register_settings: &RegisterSettings::default(),
///     approvals: None,
///     former: &FormerNames::default(),
///     as_of: 6_732.0, // 1988-06-07
///     books_as_of: 6_732.0,
/// })?;
/// assert_eq!(loaded.histories.items[0].instrument, "check-standard-41");
/// assert_eq!(loaded.histories.columns.date.len(), 217);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// A file that cannot be read as a table, or no usable row at all.
pub fn load(request: &Request<'_>) -> Result<Loaded, LoadError> {
    load_with(request, &[])
}

/// Reads, screens and groups the records together with checks made elsewhere.
///
/// # Errors
/// As [`load`].
pub(crate) fn load_with(request: &Request<'_>, made: &[MadeChecks]) -> Result<Loaded, LoadError> {
    let (register, files) = rayon::join(
        || register_of(request, None),
        || read_files(request, made, None),
    );
    load_rows(request, made, register?, files?)
}

/// Screens and groups the checks of a stream, which are a part of a fleet; `steps` are those of all
/// of it, where they are known. The register tells only of the instruments in the stream, and a stream
/// of which no row can be used is no error: its rows are rejected, and other parts have others.
///
/// # Errors
/// As [`load`].
pub(crate) fn load_stream(
    request: &Request<'_>,
    (stream, shown): (&ArrowTable, &str),
    steps: Option<&Steps>,
) -> Result<Loaded, LoadError> {
    let (batches, matched) = stream.checks(&rules(request, 0))?;
    let (register, needed) = register_of_batches(request, &batches)?;
    let rows = FileRows {
        input: Some(InputFile {
            path: shown.to_string(),
            ..InputFile::default()
        }),
        shown: shown.to_string(),
        as_found_is: request.checks_settings.as_found_is,
        limits_are: request.checks_settings.limits_are,
        sums_are: request.checks_settings.sums_are,
        matched,
        batches,
        lines: None,
    };
    let screened = screened(request, &[], register, vec![rows], Some(&needed))?;
    whole(screened, request, steps)
}

/// As [`load_with`], but of text tables only the rows of the group of `instrument` where
/// the register tells it: what a question about this one instrument rests on. Where `part` has them
/// already, nothing else is read.
///
/// # Errors
/// As [`load`].
pub(crate) fn load_group(
    request: &Request<'_>,
    made: &[MadeChecks],
    instrument: &str,
    part: Option<Part>,
) -> Result<Loaded, LoadError> {
    // Sessions read check standards of any group, which only the whole register tells.
    if !made.is_empty() {
        return load_with(request, made);
    }
    let instrument = request.former.present(instrument);
    let loaded = match part {
        Some(part) => load_part(request, part).map(Some),
        None => load_needed(request, instrument),
    };
    match loaded {
        Ok(Some(loaded)) if states_group(&loaded.histories, instrument) => Ok(loaded),
        // What is wrong with all of it, the whole reading tells.
        _ => load_with(request, made),
    }
}

/// The rows of a part that was cut out of the files before.
fn load_part(request: &Request<'_>, part: Part) -> Result<Loaded, LoadError> {
    let needed = needed(request, part.instruments);
    let (register, files) = rayon::join(
        || register_of(request, Some(&needed)),
        || read_texts(request, &part.texts, &needed),
    );
    load_rows(request, &[], register?, files?)
}

/// The rows of the group of `instrument`; `None` where the register does not tell it.
fn load_needed(request: &Request<'_>, instrument: &str) -> Result<Option<Loaded>, LoadError> {
    let by_column = |own: &ChecksSettings| own.instrument_from == InstrumentFrom::Column;
    let forms = &request.checks_settings.other;
    if !by_column(request.checks_settings) || !forms.iter().all(by_column) {
        return Ok(None);
    }
    let Some(register) = register_of(request, None)? else {
        return Ok(None);
    };
    let Some(names) = register.group_of(instrument) else {
        return Ok(None);
    };
    let needed = needed(request, names);
    let files = read_files(request, &[], Some(&needed))?;
    let mut batches = files.iter().flat_map(|file| &file.batches);
    // Members of its group may be such by their checks alone.
    if batches.any(|batch| batch.stated.has_groups()) {
        return Ok(None);
    }
    load_rows(request, &[], Some(register.only(&needed)), files).map(Some)
}

/// True where `instrument` has a history, and each of its points is in a group: a point
/// without one belongs to all others without, which were not read.
fn states_group(histories: &Histories, instrument: &str) -> bool {
    let items = histories.items.iter();
    let mut own = items.filter(|i| i.instrument == instrument).peekable();
    own.peek().is_some() && own.all(|item| !item.group.is_empty())
}

fn load_rows(
    request: &Request<'_>,
    made: &[MadeChecks],
    register: Option<Register<'_>>,
    files: Vec<FileRows>,
) -> Result<Loaded, LoadError> {
    let screened = screened(request, made, register, files, None)?;
    let loaded = whole(screened, request, None)?;
    refuse_nothing(&loaded, request)?;
    Ok(loaded)
}

#[cfg(test)]
mod tests;
