/*! From the rows of all files to histories, all of them at once: what only the whole tells. */

use super::build::{build, screen_all};
use super::collect::{FileRows, Headers, collect_rejects, take_files, warn_lost};
use super::collect_findings::collect_findings;
use super::group::{Groups, group};
use super::request::Request;
use crate::records::accounts::{LoadError, Loaded};
use crate::records::cells::batch::Batch;
use crate::records::cells::column::Column;
use crate::records::cells::row::needed::Needed;
use crate::records::made_checks::MadeChecks;
use crate::records::places::find::apart;
use crate::records::places::held::Places;
use crate::records::places::lines::Lines;
use crate::records::reading::files;
use crate::records::register::Register;
use crate::records::screening::alike::alike;
use crate::records::screening::copied::copied;
use crate::records::screening::findings::Findings;
use crate::records::screening::outcome;
use crate::records::screening::resolution::Steps;
use crate::records::screening::suspect::suspect;
use crate::records::screening::{
    bare_numbers, events_of, left_kind, left_rows, newest_unused, nominal, open_limits,
    other_table, points, rejected_failures, repeats, resolution, scatter, screen, set_points,
    spellings, sums, tolerance_of_all,
};
use crate::records::settings::words::AsFoundIs;
use crate::records::{ApprovalBook, Item, Tolerance, Warning, own_facts, revaluation};
use crate::words::{and_others, count};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// The rows of all files by history, screened, before their columns are gathered.
pub(crate) struct Screened {
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

/// Gives the items what the book of approvals says of them; the warnings of the book, where there is one.
fn join_approvals(
    request: &Request<'_>,
    part: Option<&Needed>,
    items: &mut [Item],
) -> Result<Option<Vec<Warning>>, LoadError> {
    let Some(mut book) = approvals(request)? else {
        return Ok(None);
    };
    if let Some(needed) = part {
        book.only(needed);
    }
    book.join(items, request.books_as_of);
    Ok(Some(book.warnings))
}

pub(crate) fn screened(
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
    let (mut batches, headers) = take_files(files, request.checks_settings, &mut loaded);
    let apart = lines.as_deref().and_then(|lines| apart(&batches, lines));
    let paths: Vec<String> = loaded.tables.iter().map(ToString::to_string).collect();
    let name = |file: u32| paths.get(file as usize).cloned().unwrap_or_default();
    check_columns(&batches, &headers, name)?;
    let lost = collect_rejects(&mut batches, &headers, &mut loaded);
    loaded.warnings.extend(request.former.overlaps(&batches));
    loaded.warnings.extend(spellings::settle(&mut batches));
    let mut groups = group(&mut batches, request.former);
    points::check(&groups, &batches, name)?;
    bare_numbers::check(&batches, &headers, name)?;
    let mut items = identities(&groups);
    if let Some(register) = register {
        if part.is_none() {
            loaded.warnings.extend(register.unlisted(&items));
        }
        join_register(register, &mut items, &mut loaded, |register| {
            let by_register = !batches.iter().any(|batch| batch.stated.has_groups());
            let (lines, apart) = lines.filter(|_| by_register).zip(apart)?;
            Places::of(&groups, &batches, register, lines, apart)
        });
    }
    let mut stated = own_facts::settle(&groups, &batches, &mut items);
    loaded.warnings.append(&mut stated.warnings);
    for other in made.iter().flat_map(|made| &made.units) {
        items.iter_mut().for_each(|item| other.convert(item));
    }
    if let Some(warnings) = join_approvals(request, part, &mut items)? {
        loaded.warnings.extend(warnings);
        loaded.warnings.extend(stated.beside_approvals(&items));
    }
    let (items, findings) = screen_all(&mut groups, &batches, &paths, items);
    turn_values(&findings, &mut batches);
    let history = |index: usize| (items[index].name(), items[index].unit.as_str());
    let repeats = scatter::warnings_of(&groups, &batches, history);
    loaded.warnings.extend(repeats);
    collect_findings(findings, &batches, &headers, &mut loaded);
    let found = |h: &Headers| (h.of(Some(Column::AsFound)).to_string(), h.as_found_is);
    Ok(Screened {
        found: headers.iter().map(found).collect(),
        loaded,
        groups,
        batches,
        items,
        lost,
    })
}

/// Turns values into the unit of their history, and rows as left into what was left, as the screening found.
fn turn_values(findings: &[Findings], batches: &mut [Batch]) {
    for found in findings {
        screen::convert(&found.conversions, batches);
        left_rows::leave(&found.left, batches);
    }
}

/// Refuses files whose columns cannot be records of checks as they are read.
fn check_columns(
    batches: &[Batch],
    headers: &[Headers],
    name: impl Fn(u32) -> String + Copy,
) -> Result<(), LoadError> {
    other_table::check(batches, name)?;
    sums::check(batches, headers, name)?;
    open_limits::check(batches, headers, name)
}

/// Fills in what the register knows of the items; `places` tells where their rows lie by it.
fn join_register(
    mut register: Register<'_>,
    items: &mut [Item],
    loaded: &mut Loaded,
    places: impl FnOnce(&Register<'_>) -> Option<Places>,
) {
    loaded.warnings.append(&mut register.table.warnings);
    let (unmatched, counts) = register.join(items);
    loaded.places = places(&register);
    loaded.warnings.extend(unmatched);
    loaded.register = Some(counts);
    loaded.inputs.push(register.table.input);
}

fn approvals(request: &Request<'_>) -> Result<Option<ApprovalBook>, LoadError> {
    let read = |path| {
        let shown = files::shown(path, request.base);
        ApprovalBook::read(path, &shown, request.former, request.books_as_of)
    };
    request.approvals.map(read).transpose()
}

/// All histories at once.
pub(crate) fn whole(
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
pub(crate) fn settle(
    loaded: &mut Loaded,
    request: &Request<'_>,
    (found, steps): (&[(String, AsFoundIs)], Option<&Steps>),
) -> Result<Vec<(usize, Warning)>, LoadError> {
    set_tolerances(loaded);
    let of_all = &request.register_settings.tolerance;
    let told = tolerance_of_all::set(&mut loaded.histories, of_all)?;
    loaded.warnings.extend(told);
    let allowed = request.checks_settings.allow_rejected_failures;
    rejected_failures::settle(loaded, request.former, allowed);
    nominal::check(loaded, found)?;
    left_kind::check(loaded)?;
    if let Some(file) = &request.checks_settings.revaluations {
        let path = request.base.join(file);
        revaluation::apply(loaded, &path, &files::shown(&path, request.base))?;
    }
    let given = (
        request.checks_settings.resolution,
        request.checks_settings.display,
    );
    let events_of = request.checks_settings.events_of;
    loaded
        .warnings
        .extend(events_of::settle(&mut loaded.histories, events_of));
    loaded.steps = resolution::settle(&mut loaded.histories, given, steps);
    repeats::settle(loaded, request.checks_settings.repeats);
    let told = outcome::settle(&mut loaded.histories);
    newest_unused::settle(loaded, request.former);
    Ok(told)
}

/// Values that deserve a look, by history.
pub(crate) fn suspicious(loaded: &Loaded) -> Vec<(usize, Warning)> {
    let files: Vec<String> = loaded.tables.iter().map(ToString::to_string).collect();
    let mut found = suspect(&loaded.histories, &files);
    found.extend(set_points::warnings(&loaded.histories));
    found.extend(copied(&loaded.histories));
    found.sort_by_key(|(history, _)| *history);
    found
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

pub(crate) fn refuse_nothing(loaded: &Loaded, request: &Request<'_>) -> Result<(), LoadError> {
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
