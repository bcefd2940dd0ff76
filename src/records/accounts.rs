/*! What happened to every row: used, merged or rejected, and what looked odd. */

use super::Histories;
use super::cells::limits::open::OpenCell;
use super::cells::row::said::Carried;
use super::cells::row::unused::Unused;
use super::history::given::Given;
use super::places::held::Places;
use super::screening::resolution::Steps;
use super::valueless::Valueless;
use crate::words::and_others;
use std::borrow::Cow;
use std::collections::HashMap;
use std::fmt;
use std::sync::Arc;

/// A row that could not be used, as `rejects.csv` lists it.
#[derive(Debug, Clone, PartialEq)]
pub struct Reject {
    /// Input file, as given.
    pub file: Arc<str>,
    /// Row number as a spreadsheet shows it, header included.
    pub row: u32,
    /// Header of the column at fault in that file; empty where the whole row is.
    pub column: Arc<str>,
    /// What stands there.
    pub value: String,
    /// Why the row cannot be used.
    pub reason: Cow<'static, str>,
    /// What kind of row it is.
    pub kind: RejectKind,
    /// The cause that it shares with other rows, in a few words; `None` where the reason is that.
    pub shared_cause: Option<String>,
    /// What the row says of a failure or an event, as far as it can be read.
    pub carried: Carried,
    /// What it says of its item, which the item's tolerance and its other checks must judge; taken out once they have.
    pub(crate) unused: Option<Box<Unused>>,
}

/// What kind a rejected row is of, where more follows from it than its line in the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum RejectKind {
    /// A row of which its reason says all.
    #[default]
    Plain,
    /// A person must say what a cell means before the row is read, and that is all.
    Open(OpenCell),
    /// Its unit is of another quantity than that of its history.
    OtherUnit,
}

/// Data that is used but deserves a look.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warning {
    /// Where: a file, a file and row, or a history.
    pub source: String,
    /// What looks odd, and what was done with it.
    pub words: String,
    /// True where it tells of a name that is close to a known one.
    pub near_name: bool,
}

impl Warning {
    pub(crate) fn new(source: impl Into<String>, words: impl Into<String>) -> Self {
        Self {
            source: source.into(),
            words: words.into(),
            near_name: false,
        }
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.source.as_str() {
            "" => write!(f, "{}", self.words),
            source => write!(f, "{source}: {}", self.words),
        }
    }
}

/// Warnings as a person reads them: the same words once, with where they first hold and how often.
pub(crate) fn once(warnings: &[Warning]) -> Vec<String> {
    let words = counted(warnings)
        .into_iter()
        .map(|(warning, count)| match count {
            1 => warning.to_string(),
            n => format!("{}{}: {}", warning.source, and_others(n - 1), warning.words),
        });
    words.collect()
}

/// Each of the warnings that say the same once, where it first holds, with how often.
pub(crate) fn counted(warnings: &[Warning]) -> Vec<(&Warning, usize)> {
    let mut places: HashMap<&str, usize> = HashMap::new();
    let mut counted: Vec<(&Warning, usize)> = Vec::new();
    for warning in warnings {
        let place = *places.entry(&warning.words).or_insert(counted.len());
        match counted.get_mut(place) {
            Some((_, count)) => *count += 1,
            None => counted.push((warning, 1)),
        }
    }
    counted
}

/// An input file of the run record.
#[derive(Debug, Clone, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct InputFile {
    /// Path as given, relative to the pipeline file.
    pub path: String,
    /// Size.
    pub bytes: u64,
    /// SHA-256 of the content, hexadecimal.
    pub sha256: String,
}

/// Row accounts: `read = used + merged + rejected`, always.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
pub struct RowCounts {
    /// Rows of all checks files (blank lines are no rows).
    pub read: u64,
    /// Rows that became checks.
    pub used: u64,
    /// Rows merged into another: copies, averaged repeats, and rows as left into those as found.
    pub merged: u64,
    /// Rows listed in the rejects.
    pub rejected: u64,
    /// Rows that are no records and count nowhere else: titles, units, sums, notes.
    #[serde(default, skip_serializing_if = "is_none")]
    pub set_aside: u64,
}

fn is_none(rows: &u64) -> bool {
    *rows == 0
}

/// Row accounts of the register: `rows = matched + unmatched + left_out`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize)]
pub struct RegisterCounts {
    /// Rows of the register.
    pub rows: usize,
    /// Rows that say something of a history.
    pub matched: usize,
    /// Rows of which no check is known.
    pub unmatched: usize,
    /// Rows that cannot be used.
    pub left_out: usize,
}

/// Everything that came out of the records.
#[derive(Debug, Clone, Default)]
pub struct Loaded {
    /// The usable checks.
    pub histories: Histories,
    /// The unusable rows: failures and events first, then in order of file and row.
    pub rejects: Vec<Reject>,
    /// What looked odd.
    pub warnings: Vec<Warning>,
    /// Rows that count without their values; the warnings tell of each.
    pub valueless: Vec<Valueless>,
    /// Errors of such rows, by file and row, that the tolerance of their item must judge; taken out once it has.
    pub(crate) unused: Vec<((u32, u32), Box<Unused>)>,
    /// The files that were read, checks first, in order.
    pub inputs: Vec<InputFile>,
    /// The tables of checks that were read, by the number of their file: their names.
    pub tables: Vec<Arc<str>>,
    /// The last row of each table's header, by its name, where it has one.
    pub header_rows: HashMap<Arc<str>, u32>,
    /// Row accounts of the checks.
    pub rows: RowCounts,
    /// Row accounts of the register, where there is one.
    pub register: Option<RegisterCounts>,
    /// Where the rows of each group lie, where a later question can make use of it.
    pub places: Option<Places>,
    /// The steps of the displays that histories read alike show together.
    pub steps: Steps,
    /// Who gave the readings, where a record says so.
    pub given: Option<Given>,
}

impl Loaded {
    /// Puts the rejects in order and counts them.
    pub(crate) fn order_rejects(&mut self) {
        let inputs = self.inputs.iter().map(|input| input.path.as_str());
        let names = self.tables.iter().map(|name| &**name).chain(inputs);
        let names: Vec<&str> = names.collect();
        let order: HashMap<&str, usize> = names
            .iter()
            .rev()
            .zip((0..names.len()).rev())
            .map(|(name, i)| (*name, i))
            .collect();
        self.rejects
            .sort_by_key(|r| (r.carried.is_nothing(), order.get(&*r.file).copied(), r.row));
        self.rows.rejected = self.rejects.len() as u64;
    }

    /// Refuses records among whose rejected rows are failures or adjustments, which the rates
    /// and the decisions would lack, unless they are `allowed`.
    ///
    /// # Errors
    /// The first such rows, and the setting that allows them.
    pub(crate) fn refuse_lost_failures(&self, allowed: bool) -> Result<(), LostFailures> {
        const NAMED: usize = 10;
        let lost = self.rejects.iter().filter(|r| !r.carried.is_nothing());
        let count = lost.clone().count();
        if count == 0 || allowed {
            return Ok(());
        }
        let mut list: Vec<String> = lost.take(NAMED).map(Reject::line).collect();
        if count > NAMED {
            list.push(format!("  and {} more", count - NAMED));
        }
        Err(LostFailures {
            count,
            list: list.join("\n"),
        })
    }
}

/// Rejected rows that speak of failures or adjustments.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "{count} of the rejected rows speak of a failure or an adjustment, which the decisions would lack:\n{list}\nhelp: mend the rows; or set allow_rejected_failures = true under [checks]: a failure whose item and date can be read then counts without its values, and the others are left out"
)]
pub(crate) struct LostFailures {
    count: usize,
    list: String,
}

impl Reject {
    /// What a person must say before the row is read, where that is all.
    pub(crate) fn open(&self) -> Option<OpenCell> {
        match self.kind {
            RejectKind::Open(cell) => Some(cell),
            RejectKind::Plain | RejectKind::OtherUnit => None,
        }
    }

    /// Number of the row below the header of its table; 1 is the first.
    pub(crate) fn row_below_header(&self, loaded: &Loaded) -> u32 {
        let header = loaded.header_rows.get(&self.file).copied().unwrap_or(0);
        self.row.saturating_sub(header)
    }

    /// Why, in words that are the same for all rows of one cause.
    pub(crate) fn cause(&self) -> &str {
        self.shared_cause.as_deref().unwrap_or(&self.reason)
    }

    /// The reject in one line.
    fn line(&self) -> String {
        let place = match &*self.column {
            "" => String::new(),
            column => format!(", column \"{column}\""),
        };
        format!(
            "  {}, row {}{place}, \"{}\" ({}): {}",
            self.file,
            self.row,
            self.value,
            self.carried.words(),
            self.reason
        )
    }
}

/// Records that no decision can rest on.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(crate) enum RecordsError {
    /// They cannot be read.
    #[error(transparent)]
    Unreadable(#[from] LoadError),
    /// The rejected rows speak of failures.
    #[error(transparent)]
    Lost(#[from] LostFailures),
}

/// Records that cannot be read at all.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{place}: {what}\n  {mend}")]
pub struct LoadError {
    /// File, and line where there is one.
    pub place: String,
    /// What is wrong.
    pub what: String,
    /// What to do about it.
    pub mend: String,
    /// The setting that a person must state, where that is what is missing; else empty.
    pub setting: &'static str,
}

impl LoadError {
    pub(crate) fn new(
        place: impl Into<String>,
        what: impl fmt::Display,
        mend: impl Into<String>,
    ) -> Self {
        Self {
            place: place.into(),
            what: what.to_string(),
            mend: mend.into(),
            setting: "",
        }
    }

    /// The same, where `setting` is what a person must state.
    pub(crate) fn asking(self, setting: &'static str) -> Self {
        Self { setting, ..self }
    }
}
