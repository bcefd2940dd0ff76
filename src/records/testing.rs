/*! Small histories for tests. */

use super::{
    Check, CheckKind, ChecksSettings, Columns, FormerNames, Histories, Item, LoadError, Loaded,
    Outcome, RegisterSettings, Request, Tolerance, load,
};
use std::path::{Path, PathBuf};

/// Files of checks, in a folder of their own, as they are loaded as of 2026-06-30.
pub(crate) fn load_files<T: AsRef<[u8]>>(
    files: &[(&str, T)],
    (checks, register): (&ChecksSettings, &RegisterSettings),
) -> Result<Loaded, LoadError> {
    let folder = tempfile::tempdir().unwrap();
    let write = |(name, text): &(&str, T)| {
        let path = folder.path().join(name);
        std::fs::write(&path, text).unwrap();
        path
    };
    let paths: Vec<PathBuf> = files.iter().map(write).collect();
    load_paths(&paths, folder.path(), (checks, register))
}

/// Files of checks below `base` as they are loaded as of 2026-06-30.
pub(crate) fn load_paths(
    paths: &[PathBuf],
    base: &Path,
    (checks, register): (&ChecksSettings, &RegisterSettings),
) -> Result<Loaded, LoadError> {
    load(&Request {
        checks: paths,
        register: None,
        base,
        checks_settings: checks,
        forms: &[],
        register_settings: register,
        approvals: None,
        former: &FormerNames::default(),
        as_of: 20_634.0,
        books_as_of: 20_634.0,
    })
}

/// A history in the making: checks in order, tolerance ±1 unless changed.
pub(crate) struct Record {
    pub item: Item,
    pub columns: Columns,
}

impl Record {
    pub(crate) fn new() -> Self {
        let item = Item {
            instrument: "TH-1".into(),
            unit: "mK".into(),
            tolerance: Tolerance::new(-1.0, 1.0),
            ..Item::default()
        };
        Self {
            item,
            columns: Columns::default(),
        }
    }

    /// Adds a check without event: day and error as found.
    pub(crate) fn check(mut self, day: f64, as_found: f64) -> Self {
        self.columns.push(Check {
            date: day,
            as_found,
            u: 0.1,
            source: (0, self.columns.len() as u32 + 1),
            ..Check::UNSTATED
        });
        self
    }

    /// Adds a check of which only the outcome was kept.
    pub(crate) fn outcome(self, day: f64, inside: bool) -> Self {
        let mut record = self.check(day, f64::NAN);
        if let Some(last) = record.columns.outcome.last_mut() {
            *last = if inside { Outcome::In } else { Outcome::Out };
        }
        record
    }

    /// States the last check's value as left.
    pub(crate) fn left(mut self, as_left: f64) -> Self {
        if let Some(last) = self.columns.as_left.last_mut() {
            *last = as_left;
        }
        self
    }

    /// States the last check's kind.
    pub(crate) fn kind(mut self, kind: CheckKind) -> Self {
        if let Some(last) = self.columns.kind.last_mut() {
            *last = kind;
        }
        self
    }

    /// States the last check's usage.
    pub(crate) fn usage(mut self, usage: f64) -> Self {
        if let Some(last) = self.columns.usage.last_mut() {
            *last = usage;
        }
        self
    }

    pub(crate) fn histories(self) -> Histories {
        Histories::of_one(self.item, self.columns)
    }
}

/// One history from several.
pub(crate) fn fleet(records: impl IntoIterator<Item = Record>) -> Histories {
    let mut all = Histories::default();
    for record in records {
        all.push(&record.histories().get(0));
    }
    all
}
