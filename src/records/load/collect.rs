/*! From batches to rejects and warnings in the person's own headers. */

use super::{minus_behind, void_rows};
use crate::records::Item;
use crate::records::accounts::{InputFile, Loaded, Reject, RejectKind, Warning};
use crate::records::cells::batch::Batch;
use crate::records::cells::column::Column;
use crate::records::cells::row::rules::Rules;
use crate::records::cells::row::unused::Unused;
use crate::records::cells::void_rows::Asks;
use crate::records::places::lines::Lines;
use crate::records::reading::aside::Aside;
use crate::records::reading::header::Matched;
use crate::records::settings::ChecksSettings;
use crate::records::settings::words::{AsFoundIs, LimitsAre, SumsAre};
use crate::records::valueless::Valueless;
use crate::words::{and_more, count};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::sync::Arc;

/// Name of a file and its headers by column, for messages.
pub(crate) struct Headers {
    /// What its `as_found` is stated to be.
    pub as_found_is: AsFoundIs,
    /// What its limits are stated to be of.
    pub limits_are: LimitsAre,
    /// What rows are stated to be that are named as sums.
    pub sums_are: SumsAre,
    /// The file, as messages name it.
    pub(super) file: Arc<str>,
    columns: Vec<Arc<str>>,
}

impl Headers {
    /// The person's header of a column; ours where the file has none.
    pub(crate) fn of(&self, column: Option<Column>) -> Arc<str> {
        column.map_or_else(|| Arc::from(""), |c| self.columns[c.index()].clone())
    }
}

/// One file of checks, read.
pub(crate) struct FileRows {
    /// The file, once for all its tables.
    pub input: Option<InputFile>,
    /// The name of the table: the file's, and the sheet's where there are several.
    pub shown: String,
    /// What its `as_found` is stated to be.
    pub as_found_is: AsFoundIs,
    /// What its limits are stated to be of.
    pub limits_are: LimitsAre,
    /// What rows are stated to be that are named as sums.
    pub sums_are: SumsAre,
    pub matched: Matched,
    pub batches: Vec<Batch>,
    /// Where its lines lie, where each is a row.
    pub lines: Option<Lines>,
}

impl FileRows {
    /// The table `shown`, as `rules` state it.
    pub(crate) fn of(
        shown: &str,
        rules: &Rules<'_>,
        (batches, matched): (Vec<Batch>, Matched),
    ) -> Self {
        FileRows {
            input: None,
            shown: shown.to_string(),
            as_found_is: rules.settings.as_found_is,
            limits_are: rules.settings.limits_are,
            sums_are: rules.settings.sums_are,
            matched,
            batches,
            lines: None,
        }
    }
}

/// The batches of all files, and the headers of each; what is to be said of the files goes to `loaded`, of remarks
/// that are not read and of void rows that count where they are not answered for.
pub(crate) fn take_files(
    files: Vec<FileRows>,
    settings: &ChecksSettings,
    loaded: &mut Loaded,
) -> (Vec<Batch>, Vec<Headers>) {
    let (mut batches, mut headers) = (Vec::new(), Vec::new());
    for (index, file) in files.into_iter().enumerate() {
        let name = &file.shown;
        let told = told_of(&file, settings);
        loaded.warnings.extend(told);
        let header = |column: Column| file.matched.header(column).unwrap_or(column.name());
        let columns = Column::ALL
            .into_iter()
            .map(|column| Arc::from(header(column)));
        headers.push(Headers {
            as_found_is: file.as_found_is,
            limits_are: file.limits_are,
            sums_are: file.sums_are,
            file: Arc::from(name.as_str()),
            columns: columns.collect(),
        });
        let shown: Arc<str> = Arc::from(name.as_str());
        loaded
            .header_rows
            .insert(shown.clone(), file.matched.header_row);
        loaded.tables.push(shown);
        loaded.rows.set_aside += file.matched.set_aside;
        loaded
            .warnings
            .extend(said_of_set_aside(name, &file.batches));
        for mut batch in file.batches {
            batch.file = index as u32;
            loaded.rows.read += batch.read;
            loaded.rows.set_aside += batch.set_aside.len() as u64;
            batches.push(batch);
        }
        loaded.inputs.extend(file.input);
    }
    (batches, headers)
}

/// What is to be said of a file beside its rows; by the `settings` a person may have answered for its remarks and for
/// rows that are void.
fn told_of(file: &FileRows, settings: &ChecksSettings) -> Vec<Warning> {
    let (name, batches) = (&file.shown, &file.batches);
    let remarks = said_of_remarks(batches, &file.matched.headers)
        .filter(|_| !settings.remarks_are_answered());
    let mut told: Vec<Warning> = remarks
        .map(|words| Warning::new(name, words))
        .into_iter()
        .collect();
    told.extend(void_rows::told(
        name,
        (batches, &file.matched),
        settings.void_rows_are_answered(),
    ));
    told.extend(minus_behind::told(name, batches, &file.matched));
    let notes = file.matched.notes.iter();
    told.extend(notes.map(|note| Warning::new(name, &note.words)));
    if batches.iter().all(|batch| batch.read == 0) {
        told.push(Warning::new(name, "the file has a header but no row"));
    }
    let unusable = said_of_unusable(batches);
    told.extend(unusable.map(|words| Warning::new(name, words)));
    told
}

/// What is to be said of a file of whose rows none can be used: it is mostly written in another way than the others.
fn said_of_unusable(batches: &[Batch]) -> Option<String> {
    let used = |batch: &Batch| !(batch.row.is_empty() && batch.bare.is_empty());
    let mut rejects = batches.iter().flat_map(|batch| {
        let rejects = batch.rejects.iter();
        rejects.map(|reject| (batch.first_row + reject.row, reject))
    });
    let rows = rejects.clone().count();
    let (row, first) = rejects.next()?;
    if batches.iter().any(used) {
        return None;
    }
    Some(format!(
        "none of {} could be used (row {row}: \"{}\": {}): where the file is written in another way than the others, driftbook start reads it as a form of its own",
        count(rows, "row"),
        first.value,
        first.reason
    ))
}

/// What is to be said of remarks that are not read, under these `headers`; `None` where they speak of no event.
fn said_of_remarks(batches: &[Batch], headers: &[String]) -> Option<String> {
    let rows = batches.iter().flat_map(|batch| {
        let rows = batch.remarks.rows.iter();
        rows.map(|row| batch.first_row + row)
    });
    // A row of a table with a column a point is several checks.
    let rows: BTreeSet<u32> = rows.collect();
    let row = rows.first()?;
    let mut firsts = batches
        .iter()
        .filter_map(|batch| batch.remarks.first.as_ref());
    let first = firsts.next()?;
    let header = headers.get(first.place).map_or("", |header| header.trim());
    Some(format!(
        "\"{header}\" is not read and tells of events in {} (row {row}: \"{}\"): an adjustment changes what the values after it mean. Read it by event = \"{header}\" under columns, or state event = false where nothing was done",
        count(rows.len(), "row"),
        first.text
    ))
}

/// One warning for each kind of row that was set aside.
fn said_of_set_aside(name: &str, batches: &[Batch]) -> Vec<Warning> {
    /// Rows that are named.
    const NAMED: usize = 20;
    let mut kinds: BTreeMap<Aside, Vec<u32>> = BTreeMap::new();
    for batch in batches {
        for (what, row) in &batch.set_aside {
            kinds.entry(*what).or_default().push(batch.first_row + row);
        }
    }
    let said = kinds.into_iter().map(|(what, rows)| {
        let named: Vec<String> = rows.iter().take(NAMED).map(u32::to_string).collect();
        let more = and_more(rows.len() - named.len());
        let words = format!("{}: row {}{more}", what.words(rows.len()), named.join(", "));
        Warning::new(name, format!("set aside, {words}"))
    });
    said.collect()
}

/// File, column, why, as what, and for a failure its row.
type ValuelessKey = (u32, usize, Cow<'static, str>, String, u32);

/// Moves the rows of a batch that count by their outcome alone to others like them.
fn take_bare(
    batch: &mut Batch,
    names: &Headers,
    valueless: &mut BTreeMap<ValuelessKey, Valueless>,
    unused: &mut Vec<((u32, u32), Box<Unused>)>,
) {
    for bare in batch.bare.drain(..) {
        let row = batch.first_row + bare.row;
        let own = bare.unused.map(|own| ((batch.file, row), own));
        unused.extend(own);
        // Each failure is named; passes are counted.
        let (what, named) = match bare.carried.is_nothing() {
            true => ("pass".to_string(), 0),
            false => (bare.carried.words(), row),
        };
        let column = bare.column.map_or(usize::MAX, Column::index);
        let key = (batch.file, column, bare.reason.clone(), what.clone(), named);
        let first = || Valueless {
            file: names.file.clone(),
            row,
            column: names.of(bare.column),
            value: bare.value,
            reason: bare.reason,
            open: bare.open,
            what,
            rows: 0,
        };
        valueless.entry(key).or_insert_with(first).rows += 1;
    }
}

/// Moves the batches' rejects and unknown words out into words.
/// Returns the rejected rows of each instrument.
pub(crate) fn collect_rejects(
    batches: &mut [Batch],
    headers: &[Headers],
    loaded: &mut Loaded,
) -> BTreeMap<String, usize> {
    let mut lost = BTreeMap::new();
    let mut unknown: BTreeMap<UnknownWord, (u32, usize)> = BTreeMap::new();
    let mut valueless = BTreeMap::new();
    for batch in batches {
        let names = &headers[batch.file as usize];
        take_bare(batch, names, &mut valueless, &mut loaded.unused);
        for reject in batch.rejects.drain(..) {
            if !reject.instrument.is_empty() {
                *lost.entry(reject.instrument).or_insert(0) += 1;
            }
            loaded.rejects.push(Reject {
                file: names.file.clone(),
                row: batch.first_row + reject.row,
                column: names.of(reject.column),
                value: reject.value,
                reason: reject.reason,
                kind: reject.open.map_or(RejectKind::Plain, RejectKind::Open),
                shared_cause: None,
                carried: reject.carried,
                unused: reject.unused,
            });
        }
        for word in batch.unknown_words.drain(..) {
            let row = batch.first_row + word.row;
            let key = (batch.file, word.column.name(), word.word);
            unknown.entry(key).or_insert((row, 0)).1 += 1;
        }
    }
    let valueless: Vec<Valueless> = valueless.into_values().collect();
    loaded
        .warnings
        .extend(valueless.iter().map(|v| Warning::new(v.place(), v.words())));
    loaded.valueless.extend(valueless);
    let unknown = unknown.into_iter().map(|word| unknown_word(headers, word));
    loaded.warnings.extend(unknown);
    lost
}

/// A word that is not known: its file, its column, itself.
type UnknownWord = (u32, &'static str, String);

/// Says of an unknown word how it is read; `row` is its first, of `count`.
fn unknown_word(
    headers: &[Headers],
    ((file, column, word), (row, count)): (UnknownWord, (u32, usize)),
) -> Warning {
    let source = format!("{}, row {row}", headers[file as usize].file);
    let mend = match column {
        "event" => "; give it a meaning under checks.events",
        "in_tolerance" => "; give it a meaning under checks.outcomes",
        _ => "",
    };
    let void = match Asks::Nothing.void_word(&word) {
        Some(_) => {
            "; where it says that such rows do not count, void_rows_by and void_rows_are leave them out"
        }
        None => "",
    };
    let words = format!(
        "unknown {column} \"{word}\" is read as none{mend}{void}{}",
        and_more(count - 1)
    );
    Warning::new(source, words)
}

/// One warning for each instrument that has rows, all of which were rejected; first of all.
pub(crate) fn warn_lost(
    lost: BTreeMap<String, usize>,
    items: &[Item],
    warnings: &mut Vec<Warning>,
) {
    let items = items.iter();
    let known: HashSet<&str> = items.map(|item| item.instrument.trim()).collect();
    let lost: Vec<Warning> = lost
        .into_iter()
        .filter(|(name, _)| !known.contains(name.as_str()))
        .map(|(name, rows)| {
            let rows = match rows {
                1 => "its only row was rejected".to_string(),
                n => format!("all its {} were rejected", count(n, "row")),
            };
            Warning::new(name, format!("{rows}: nothing is decided for it"))
        })
        .collect();
    warnings.splice(0..0, lost);
}
