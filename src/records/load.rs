/*! The door of this room: files in, [`Loaded`] out, every row accounted for. */

use super::accounts::{LoadError, Loaded};
use super::build::{build, screen_all};
use super::cells::batch::Batch;
use super::cells::column::Column;
use super::cells::needed::Needed;
use super::cells::rules::Rules;
use super::collect::{FileRows, collect_findings, collect_rejects, take_files, warn_lost};
use super::group::{Groups, group};
use super::made_checks::MadeChecks;
use super::places::find::apart;
use super::places::held::Places;
use super::places::lines::Lines;
use super::places::part::Part;
use super::reading::arrow_stream::ArrowTable;
use super::reading::files;
use super::register::Register;
use super::screening::alike::alike;
use super::screening::outcome;
use super::screening::resolution::Steps;
use super::screening::suspect::suspect;
use super::screening::{
    left_rows, lent, nominal, open_limits, other_table, points, repeats, resolution, scatter,
    screen, set_points, spellings, sums,
};
use super::setting_words::{AsFoundIs, InstrumentFrom};
use super::settings::{ChecksSettings, RegisterSettings};
use super::tables::{read_file, read_made, read_part};
use super::{ApprovalBook, FormerNames, Histories, InputFile, Item, Tolerance, Warning};
use super::{own_facts, register, revaluation};
use crate::words::{and_others, count};
use rayon::prelude::*;
use std::collections::{BTreeMap, HashSet};
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

/// The instruments `names`, also under the names that they had.
pub(super) fn needed(request: &Request<'_>, mut names: HashSet<String>) -> Needed {
    let members: Vec<String> = names.iter().cloned().collect();
    let former = members.iter().flat_map(|name| request.former.of(name));
    names.extend(former.map(str::to_string));
    Needed::new(names, request.checks_settings.trim_names)
}

/// True where `instrument` has a history, and each of its points is in a group: a point
/// without one belongs to all others without, which were not read.
fn states_group(histories: &Histories, instrument: &str) -> bool {
    let items = histories.items.iter();
    let mut own = items.filter(|i| i.instrument == instrument).peekable();
    own.peek().is_some() && own.all(|item| !item.group.is_empty())
}

/// Reads every file of checks, then those made elsewhere; of text tables only the rows `needed`.
pub(super) fn read_files(
    request: &Request<'_>,
    made: &[MadeChecks],
    needed: Option<&Needed>,
) -> Result<Vec<FileRows>, LoadError> {
    let forms = std::iter::once(request.checks_settings).chain(&request.checks_settings.other);
    let named: Vec<&str> = forms
        .flat_map(|form| form.sheets.iter().map(String::as_str))
        .collect();
    let read = |(index, path): (usize, &PathBuf)| {
        let rules = rules(request, index).only(needed);
        read_file(path, &files::shown(path, request.base), &rules, &named)
    };
    let files: Result<Vec<Vec<FileRows>>, LoadError> =
        request.checks.par_iter().enumerate().map(read).collect();
    let mut files: Vec<FileRows> = files?.into_iter().flatten().collect();
    files.extend(read_all_made(request, made)?);
    Ok(files)
}

/// By what the rows of the file with this index are judged.
pub(super) fn rules<'a>(request: &Request<'a>, index: usize) -> Rules<'a> {
    let form = request.forms.get(index).copied().unwrap_or(0);
    Rules::new(request.checks_settings.form(form), request.as_of)
}

/// The texts that stand for the files of checks.
fn read_texts(
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

/// The rows of all files by history, screened, before their columns are gathered.
pub(super) struct Screened {
    /// All that is known so far.
    pub loaded: Loaded,
    pub groups: Groups,
    pub batches: Vec<Batch>,
    /// Identities of the histories, those without a row left too.
    pub items: Vec<Item>,
    /// The header of `as_found` in each table, and what it is stated to be.
    pub found: Vec<(String, AsFoundIs)>,
    /// Rejected rows of each instrument.
    pub lost: BTreeMap<String, usize>,
}

pub(super) fn screened(
    request: &Request<'_>,
    made: &[MadeChecks],
    register: Option<Register<'_>>,
    mut files: Vec<FileRows>,
    part: Option<&Needed>,
) -> Result<Screened, LoadError> {
    let mut loaded = Loaded::default();
    // What is made elsewhere follows the files, and is read whole.
    let of_files = files.len() - made.len();
    let lines = files[..of_files].iter_mut().map(|file| file.lines.take());
    let lines = lines.collect::<Option<Vec<Lines>>>();
    let (mut batches, headers) = take_files(files, &mut loaded);
    let apart = lines.as_deref().and_then(|lines| apart(&batches, lines));
    let name = |file: u32| {
        let input = loaded.inputs.get(file as usize);
        input.map_or(String::new(), |input| input.path.clone())
    };
    other_table::check(&batches, name)?;
    sums::check(&batches, &headers, name)?;
    open_limits::check(&batches, &headers, name)?;
    let lost = collect_rejects(&mut batches, &headers, &mut loaded);
    loaded.warnings.extend(request.former.overlaps(&batches));
    spellings::settle(&mut batches);
    let mut groups = group(&mut batches, request.former);
    let name = |file: u32| {
        let input = loaded.inputs.get(file as usize);
        input.map_or(String::new(), |input| input.path.clone())
    };
    points::check(&groups, &batches, name)?;
    lent::check(&batches, &headers, name)?;
    let mut items = identities(&groups);
    if let Some(mut register) = register {
        let told = std::mem::take(&mut register.table.warnings);
        loaded.warnings.extend(told);
        let (unmatched, counts) = register.join(&mut items);
        let by_register = !batches.iter().any(|batch| batch.stated.has_groups());
        loaded.places = lines
            .filter(|_| by_register)
            .zip(apart)
            .and_then(|(lines, apart)| Places::of(&groups, &batches, &register, lines, apart));
        loaded.warnings.extend(unmatched);
        loaded.register = Some(counts);
        loaded.inputs.push(register.table.input);
    }
    let mut stated = own_facts::settle(&groups, &batches, &mut items);
    loaded.warnings.append(&mut stated.warnings);
    for other in made.iter().flat_map(|made| &made.units) {
        items.iter_mut().for_each(|item| other.convert(item));
    }
    if let Some(path) = request.approvals {
        let shown = files::shown(path, request.base);
        let mut book = ApprovalBook::read(path, &shown, request.former, request.books_as_of)?;
        if let Some(needed) = part {
            book.only(needed);
        }
        book.join(&mut items, request.books_as_of);
        loaded.warnings.extend(book.warnings);
        loaded.warnings.extend(stated.beside_approvals(&items));
    }
    let (items, findings) = screen_all(&mut groups, &batches, items);
    for found in &findings {
        screen::convert(&found.conversions, &mut batches);
        left_rows::leave(&found.left, &mut batches);
    }
    let history = |index: usize| (items[index].name(), items[index].unit.as_str());
    loaded
        .warnings
        .extend(scatter::warnings_of(&groups, &batches, history));
    collect_findings(findings, &batches, &headers, &mut loaded);
    let found = headers
        .iter()
        .map(|h| (h.of(Some(Column::AsFound)).to_string(), h.as_found_is));
    let found = found.collect();
    Ok(Screened {
        loaded,
        groups,
        batches,
        items,
        found,
        lost,
    })
}

/// All histories at once.
pub(super) fn whole(
    screened: Screened,
    request: &Request<'_>,
    steps: Option<&Steps>,
) -> Result<Loaded, LoadError> {
    let Screened {
        mut loaded,
        groups,
        batches,
        items,
        found,
        lost,
    } = screened;
    loaded.histories = build(groups, batches, items);
    let outcomes = settle(&mut loaded, request, (&found, steps))?;
    let histories = &loaded.histories;
    let (names, values) = rayon::join(|| alike(&histories.items), || suspicious(&loaded));
    let in_order = |list: Vec<(usize, Warning)>| list.into_iter().map(|(_, warning)| warning);
    let own = in_order(outcomes).chain(names).chain(in_order(values));
    loaded.warnings.extend(own.collect::<Vec<_>>());
    warn_lost(lost, &loaded.histories.items, &mut loaded.warnings);
    loaded.rows.used = loaded.histories.columns.date.len() as u64;
    Ok(loaded)
}

/// Settles what each history says once its columns stand; returns the outcomes that contradict
/// the numbers, by history.
pub(super) fn settle(
    loaded: &mut Loaded,
    request: &Request<'_>,
    (found, steps): (&[(String, AsFoundIs)], Option<&Steps>),
) -> Result<Vec<(usize, Warning)>, LoadError> {
    set_tolerances(loaded);
    nominal::check(loaded, found)?;
    if let Some(file) = &request.checks_settings.revaluations {
        let path = request.base.join(file);
        revaluation::apply(loaded, &path, &files::shown(&path, request.base))?;
    }
    let given = (
        request.checks_settings.resolution,
        request.checks_settings.display,
    );
    loaded.steps = resolution::settle(&mut loaded.histories, given, steps);
    repeats::settle(loaded, request.checks_settings.repeats);
    Ok(outcome::settle(&mut loaded.histories))
}

/// Values that deserve a look, by history.
pub(super) fn suspicious(loaded: &Loaded) -> Vec<(usize, Warning)> {
    let files: Vec<String> = loaded.tables.iter().map(ToString::to_string).collect();
    let mut found = suspect(&loaded.histories, &files);
    found.extend(set_points::warnings(&loaded.histories));
    found.sort_by_key(|(history, _)| *history);
    found
}

pub(super) fn register_of<'a>(
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

pub(super) fn refuse_nothing(loaded: &Loaded, request: &Request<'_>) -> Result<(), LoadError> {
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
        n => names.join(", ") + &and_others(n - 3),
    };
    match loaded.rejects.first() {
        None => Err(LoadError::new(
            place,
            "there is a header but no row",
            "Expected one line a check below the header.",
        )),
        Some(first) => {
            let error = LoadError::new(
                place,
                match loaded.rows.read {
                    1 => "the only row was rejected".to_string(),
                    rows => format!("all {} were rejected", count(rows as usize, "row")),
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
            );
            Err(match first.open() {
                Some(open) => error.asking(open.setting()),
                None => error,
            })
        }
    }
}

#[cfg(test)]
#[path = "load_tests.rs"]
mod tests;
