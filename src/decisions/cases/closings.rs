/*! The book of closings: who closed which finding, when, and by what. */

use super::finding::findings;
use crate::conformity::DecisionRule;
use crate::records::book::{self, Entry, NoEntry};
use crate::records::reading::files;
use crate::records::screening::alike::NearNames;
use crate::records::{FormerNames, Histories, LoadError, Warning, date};
use crate::settings::SettingError;
use std::collections::BTreeMap;
use std::path::Path;

/// Columns of the book, the hash of the line before left out.
pub(crate) const COLUMNS: [&str; 7] = [
    "instrument",
    "point",
    "finding",
    "closed_by",
    "closed_on",
    "action",
    "reference",
];

crate::settings! {
    /// Findings: checks out of tolerance, or indeterminate by the decision rule, each open until a person closed it.
    pub struct CasesSettings in "cases" {
        /// Book of closings (CSV), relative to the pipeline file; written by `driftbook close`; absent = no cases are kept.
        file: Option<String> = None,
        /// Findings before this date, YYYY-MM-DD, count as closed before the book began; absent = none do.
        since: Option<String> = None,
    }
    together CasesSettings::together
}

impl CasesSettings {
    /// Impossible values.
    fn together(&self) -> Vec<SettingError> {
        let mut errors = Vec::new();
        if self.since.is_some() && self.since_day().is_none() {
            let message = "expected a date such as \"2024-01-01\"";
            errors.push(SettingError::new("cases", "since", message));
        }
        if self.since.is_some() && self.file.is_none() {
            let message = "expected a book beside it, such as file = \"cases.csv\"";
            errors.push(SettingError::new("cases", "since", message));
        }
        errors
    }

    fn since_day(&self) -> Option<f64> {
        date::parse_iso(self.since.as_deref()?.as_bytes()).map(f64::floor)
    }
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Closing {
    /// Who closed the finding.
    pub by: String,
    /// When, whole days since 1970-01-01.
    pub on: i64,
    /// What was done.
    pub action: String,
    /// A certificate, order or report; may be empty.
    pub reference: String,
}

/// Instrument, point and day of a finding.
type Key = (String, String, i64);

/// The closings that count, and what is to be said of the others.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Closings {
    closed: BTreeMap<Key, (Closing, String)>,
    /// Places of the last line on a finding that does not count.
    uncounted: BTreeMap<Key, String>,
    since: Option<f64>,
    /// Lines that do not count, or were written by hand.
    pub warnings: Vec<Warning>,
}

/// Why a line of the book of closings does not count.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
enum NoClosing {
    #[error(transparent)]
    Entry(#[from] NoEntry),
    #[error("expected who closed it (closed_by) and what was done (action)")]
    Unsigned,
    #[error("it was closed on {on}, before the finding of {finding}")]
    BeforeFinding { on: String, finding: String },
    #[error("the finding is closed already in {0}")]
    Closed(String),
}

impl Closings {
    /// The closings of the book that the settings name, relative to `base`; `None` where they name
    /// none. A book that is not there yet holds none. Those of a
    /// former name are the present one's. `as_of` is the last day that counts.
    ///
    /// # Errors
    /// A file that cannot be read, or with another header.
    pub(crate) fn of(
        settings: &CasesSettings,
        base: &Path,
        former: &FormerNames,
        as_of: f64,
    ) -> Result<Option<Self>, LoadError> {
        let Some(file) = &settings.file else {
            return Ok(None);
        };
        let path = base.join(file);
        let shown = files::shown(&path, base);
        let mend = "[cases] file names the book of closings, a CSV file";
        let book = book::read_file(&path, &shown, &COLUMNS, mend)?;
        let mut closings = Self {
            since: settings.since_day(),
            ..Self::default()
        };
        let mut left = BTreeMap::new();
        let take = |entry: &Entry, place: &str| closings.take(entry, place, former, as_of);
        let leave = |entry: &Entry, place: &str| {
            let named = closed_by(entry, former);
            left.extend(named.map(|key| (key, place.to_string())));
        };
        let warnings = book.taken(&shown, "this closing", take, leave);
        (closings.warnings, closings.uncounted) = (warnings, left);
        Ok(Some(closings))
    }

    fn take(
        &mut self,
        entry: &Entry,
        place: &str,
        former: &FormerNames,
        as_of: f64,
    ) -> Result<(), NoClosing> {
        let [instrument, point, finding, by, on, action, reference] = entry.values.as_slice()
        else {
            return Err(NoEntry::Values(COLUMNS.len() + 1).into());
        };
        let (found, closed) = (book::day("finding", finding)?, book::day("closed_on", on)?);
        if by.is_empty() || action.is_empty() {
            return Err(NoClosing::Unsigned);
        }
        if closed < found {
            return Err(NoClosing::BeforeFinding {
                on: on.clone(),
                finding: finding.clone(),
            });
        }
        if closed > as_of {
            let (name, day) = ("closed_on", closed);
            return Err(NoEntry::Later { name, day, as_of }.into());
        }
        let instrument = former.present(instrument).to_string();
        let key = (instrument, point.clone(), found as i64);
        if let Some((_, first)) = self.closed.get(&key) {
            return Err(NoClosing::Closed(first.clone()));
        }
        let closing = Closing {
            by: by.clone(),
            on: closed as i64,
            action: action.clone(),
            reference: reference.clone(),
        };
        self.closed.insert(key, (closing, place.to_string()));
        Ok(())
    }

    /// Where the book closes the finding of `day` by a line that does not count.
    pub(crate) fn uncounted(&self, instrument: &str, point: &str, day: f64) -> Option<&str> {
        let key = (instrument.to_string(), point.to_string(), whole_day(day));
        self.uncounted.get(&key).map(String::as_str)
    }

    /// The closing of the finding of `day`.
    pub(crate) fn closing(&self, instrument: &str, point: &str, day: f64) -> Option<&Closing> {
        let key = (instrument.to_string(), point.to_string(), whole_day(day));
        self.closed.get(&key).map(|(closing, _)| closing)
    }

    /// Finding and closing days of the closed cases of a history.
    pub(crate) fn closed(&self, instrument: &str, point: &str) -> Vec<(f64, f64)> {
        let of = |day| (instrument.to_string(), point.to_string(), day);
        let own = self.closed.range(of(i64::MIN)..=of(i64::MAX));
        own.map(|((_, _, day), (closing, _))| (*day as f64, closing.on as f64))
            .collect()
    }

    /// True where a finding of `day` counts as closed before the book began.
    pub(crate) fn is_before(&self, day: f64) -> bool {
        self.since.is_some_and(|since| day < since)
    }

    /// What is to be said of the book's lines, and of closings that close no finding of `histories`
    /// and nothing else that is closed, whose days `others` tells: signals of control charts, failures that are gone from
    /// the records; `vanished` those of an item without a history.
    pub(crate) fn said(
        &self,
        histories: &Histories,
        rule: &DecisionRule,
        others: &dyn Fn(usize) -> Vec<f64>,
        vanished: &dyn Fn(&str, &str) -> Vec<f64>,
    ) -> Vec<Warning> {
        let name = |index: &usize| {
            let item = &histories.items[*index];
            (item.instrument.as_str(), item.point.as_str())
        };
        let places: BTreeMap<(&str, &str), usize> =
            (0..histories.len()).map(|i| (name(&i), i)).collect();
        let near = NearNames::of(histories.items.iter().map(|item| item.instrument.as_str()));
        let mut warnings = self.warnings.clone();
        for ((instrument, point, day), (_, place)) in &self.closed {
            let named = format!("{instrument} {point}");
            let is_day = |found: &f64| whole_day(*found) == *day;
            let why = match places.get(&(instrument.as_str(), point.as_str())) {
                None if vanished(instrument, point).iter().any(is_day) => continue,
                None => format!(
                    "no history is named {}{}",
                    named.trim_end(),
                    near.words(instrument)
                ),
                Some(&index) => {
                    let found = findings(&histories.get(index), rule);
                    let others = others(index).into_iter();
                    let days = found.iter().map(|finding| finding.day).chain(others);
                    if days.into_iter().any(|found| is_day(&found)) {
                        continue;
                    }
                    let day = date::iso(*day as f64);
                    format!("{} has no finding and no signal of {day}", named.trim_end())
                }
            };
            let words = format!("this closing closes nothing: {why}");
            warnings.push(Warning::new(place, words));
        }
        warnings
    }
}

/// The finding that a line names, whether it counts or not.
fn closed_by(entry: &Entry, former: &FormerNames) -> Option<Key> {
    let [instrument, point, finding, ..] = entry.values.as_slice() else {
        return None;
    };
    let day = whole_day(book::day("finding", finding).ok()?);
    Some((former.present(instrument).to_string(), point.clone(), day))
}

/// The whole day of a date with or without a time.
fn whole_day(day: f64) -> i64 {
    day.floor() as i64
}
