/*! The door of this room: files in, [`Loaded`] out, every row accounted for. */

use super::accounts::{LoadError, Loaded};
use super::build::{build, screen_all};
use super::cells::column::Column;
use super::cells::needed::Needed;
use super::cells::rules::Rules;
use super::collect::{FileRows, collect_findings, collect_rejects, take_files, warn_lost};
use super::group::{Groups, group};
use super::made_checks::MadeChecks;
use super::reading::files;
use super::reading::table::Table;
use super::register::Register;
use super::screening::alike::alike;
use super::screening::outcome;
use super::screening::suspect::suspect;
use super::screening::{nominal, points, repeats, resolution, screen};
use super::settings::{ChecksSettings, RegisterSettings};
use super::tables::{read_file, read_made};
use super::{ApprovalBook, FormerNames, Histories, Item, Tolerance, register, revaluation};
use rayon::prelude::*;
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
    /// The form in which each file is written, see [`ChecksSettings::form`]; the first where
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
}

/// Reads, screens and groups the records.
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
pub fn load_with(request: &Request<'_>, made: &[MadeChecks]) -> Result<Loaded, LoadError> {
    let (register, files) =
        rayon::join(|| register_of(request), || read_files(request, made, None));
    load_rows(request, made, register?, files?)
}

/// As [`load_with`], but of text tables only the rows of the group of `instrument` where
/// the register tells it: what a question about this one instrument rests on.
///
/// # Errors
/// As [`load`].
pub fn load_group(
    request: &Request<'_>,
    made: &[MadeChecks],
    instrument: &str,
) -> Result<Loaded, LoadError> {
    let instrument = request.former.present(instrument);
    let register = register_of(request)?;
    let trim = request.checks_settings.trim_names;
    let needed = register
        .as_ref()
        .and_then(|(register, _)| register.group_of(instrument))
        .map(|mut names| {
            let members: Vec<String> = names.iter().cloned().collect();
            let former = members.iter().flat_map(|name| request.former.of(name));
            names.extend(former.map(str::to_string));
            Needed::new(names, trim)
        });
    let loaded = read_files(request, made, needed.as_ref())
        .and_then(|files| load_rows(request, made, register, files));
    let suffices = match (&needed, &loaded) {
        (None, _) => true,
        (_, Ok(loaded)) => states_group(&loaded.histories, instrument),
        (_, Err(_)) => false,
    };
    if suffices {
        loaded
    } else {
        load_with(request, made)
    }
}

/// True where `instrument` has a history, and each of its points is in a group: a point
/// without one belongs to all others without, which were not read.
fn states_group(histories: &Histories, instrument: &str) -> bool {
    let items = histories.items.iter();
    let mut own = items.filter(|i| i.instrument == instrument).peekable();
    own.peek().is_some() && own.all(|item| !item.group.is_empty())
}

/// Reads every file of checks, then those made elsewhere; of text tables only the rows `needed`.
fn read_files(
    request: &Request<'_>,
    made: &[MadeChecks],
    needed: Option<&Needed>,
) -> Result<Vec<FileRows>, LoadError> {
    let read = |(index, path): (usize, &PathBuf)| {
        let form = request.forms.get(index).copied().unwrap_or(0);
        let settings = request.checks_settings.form(form);
        let rules = Rules::new(settings, request.as_of).only(needed);
        read_file(path, &files::shown(path, request.base), &rules)
    };
    let files: Result<Vec<Vec<FileRows>>, LoadError> =
        request.checks.par_iter().enumerate().map(read).collect();
    let mut files: Vec<FileRows> = files?.into_iter().flatten().collect();
    let own = ChecksSettings::default();
    let own_rules = Rules::new(&own, request.as_of);
    for checks in made {
        files.push(read_made(checks, &own_rules)?);
    }
    Ok(files)
}

fn load_rows(
    request: &Request<'_>,
    made: &[MadeChecks],
    register: Option<(Register, Table)>,
    files: Vec<FileRows>,
) -> Result<Loaded, LoadError> {
    let mut loaded = Loaded::default();
    let (mut batches, headers) = take_files(files, &mut loaded);
    let lost = collect_rejects(&mut batches, &headers, &mut loaded);
    loaded.warnings.extend(request.former.overlaps(&batches));
    let mut groups = group(&mut batches, request.former);
    let name = |file: u32| {
        let input = loaded.inputs.get(file as usize);
        input.map_or(String::new(), |input| input.path.clone())
    };
    points::check(&groups, &batches, name)?;
    let mut items = identities(&groups);
    if let Some((register, table)) = register {
        loaded.warnings.extend(table.warnings);
        let (unmatched, counts) = register.join(&mut items);
        loaded.warnings.extend(unmatched);
        loaded.register = Some(counts);
        loaded.inputs.push(table.input);
    }
    for other in made.iter().flat_map(|made| &made.units) {
        items.iter_mut().for_each(|item| other.convert(item));
    }
    if let Some(path) = request.approvals {
        let shown = files::shown(path, request.base);
        let mut book = ApprovalBook::read(path, &shown, request.former, request.as_of)?;
        book.join(&mut items, request.as_of);
        loaded.warnings.extend(book.warnings);
    }
    let (items, findings) = screen_all(&mut groups, &batches, items);
    for found in &findings {
        screen::convert(&found.conversions, &mut batches);
    }
    collect_findings(findings, &batches, &headers, &mut loaded);
    loaded.histories = build(groups, batches, items);
    set_tolerances(&mut loaded);
    let found = headers
        .iter()
        .map(|h| (h.of(Some(Column::AsFound)).to_string(), h.as_found_is));
    nominal::check(&mut loaded, &found.collect::<Vec<_>>())?;
    if let Some(file) = &request.checks_settings.revaluations {
        let path = request.base.join(file);
        revaluation::apply(&mut loaded, &path, &files::shown(&path, request.base))?;
    }
    resolution::settle(&mut loaded.histories, request.checks_settings.resolution);
    repeats::settle(&mut loaded, request.checks_settings.repeats);
    loaded
        .warnings
        .extend(outcome::settle(&mut loaded.histories));
    let files: Vec<String> = loaded.tables.iter().map(ToString::to_string).collect();
    let histories = &loaded.histories;
    let (names, values) = rayon::join(|| alike(&histories.items), || suspect(histories, &files));
    loaded.warnings.extend(names);
    loaded.warnings.extend(values);
    warn_lost(lost, &mut loaded);
    loaded.rows.used = loaded.histories.columns.date.len() as u64;
    refuse_nothing(&loaded, request)?;
    Ok(loaded)
}

fn register_of(request: &Request<'_>) -> Result<Option<(Register, Table)>, LoadError> {
    let read = |path: &Path| {
        register::read(
            path,
            &files::shown(path, request.base),
            request.register_settings,
            request.checks_settings.trim_names,
            request.as_of,
        )
    };
    request.register.map(read).transpose()
}

fn identities(groups: &Groups) -> Vec<Item> {
    groups
        .order
        .par_iter()
        .with_min_len(4096)
        .map(|&code| {
            let (instrument, point) = groups.names.get(code);
            Item {
                instrument: instrument.to_string(),
                point: point.to_string(),
                ..Item::default()
            }
        })
        .collect()
}

/// An item's tolerance is the register's, else that of the last check which states one.
fn set_tolerances(loaded: &mut Loaded) {
    let histories = &mut loaded.histories;
    let columns = &histories.columns;
    for (item, pair) in histories.items.iter_mut().zip(histories.offsets.windows(2)) {
        if item.tolerance.is_some() {
            continue;
        }
        let open = |limit: f64, otherwise: f64| if limit.is_nan() { otherwise } else { limit };
        item.tolerance = (pair[0]..pair[1]).rev().find_map(|i| {
            Tolerance::new(
                open(columns.lower[i], f64::NEG_INFINITY),
                open(columns.upper[i], f64::INFINITY),
            )
        });
    }
}

fn refuse_nothing(loaded: &Loaded, request: &Request<'_>) -> Result<(), LoadError> {
    if loaded.rows.used > 0 {
        return Ok(());
    }
    let names: Vec<&str> = loaded
        .inputs
        .iter()
        .take(3)
        .map(|i| i.path.as_str())
        .collect();
    let place = match request.checks.len() {
        0..=3 => names.join(", "),
        n => format!("{} and {} more", names.join(", "), n - 3),
    };
    match loaded.rejects.first() {
        None => Err(LoadError::new(
            place,
            "there is a header but no row",
            "Expected one line a check below the header.",
        )),
        Some(first) => Err(LoadError::new(
            place,
            match loaded.rows.read {
                1 => "the only row was rejected".to_string(),
                rows => format!("all {rows} rows were rejected"),
            },
            match &*first.column {
                // A row that does not fit the header has no column to blame.
                "" => format!(
                    "The first: row {}, \"{}\": {}.",
                    first.row, first.value, first.reason
                ),
                column => format!(
                    "The first: row {}, column \"{column}\", value \"{}\": {}.",
                    first.row, first.value, first.reason
                ),
            },
        )),
    }
}

#[cfg(test)]
#[path = "load_tests.rs"]
mod tests;
