/*! The keys of a pipeline file: where they stand, and which are unknown. */

use super::SettingRow;
use super::file_error::Problem;
use crate::words::nearest::nearest;
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// Joins a table's path and a name in it.
fn join(path: &str, name: &str) -> String {
    if path.is_empty() {
        name.to_string()
    } else {
        format!("{path}.{name}")
    }
}

pub(crate) fn collect_places(
    path: &str,
    table: &DeTable<'_>,
    places: &mut Vec<(String, String, Range<usize>)>,
) {
    for (key, value) in table {
        let name = key.get_ref().to_string();
        // A table's own span is its header.
        let span = if value.get_ref().is_table() {
            key.span()
        } else {
            value.span()
        };
        if let DeValue::Table(inner) = value.get_ref() {
            collect_places(&join(path, &name), inner, places);
        }
        places.push((path.to_string(), name, span));
    }
}

/// Every key and table that a pipeline file may have.
pub(crate) struct KnownKeys {
    /// The keys.
    pub rows: Vec<SettingRow>,
    /// Paths of the tables.
    pub tables: Vec<&'static str>,
}

impl KnownKeys {
    /// Names that may stand in the table at `path`: its keys and its tables.
    fn names(&self, path: &str) -> Vec<String> {
        let keys = self
            .rows
            .iter()
            .filter(|row| row.table == path)
            .map(|row| row.key.to_string());
        let tables = self.tables.iter().filter_map(|table| {
            let rest = if path.is_empty() {
                table
            } else {
                table.strip_prefix(path)?.strip_prefix('.')?
            };
            rest.split('.').next().map(str::to_string)
        });
        let mut names: Vec<String> = keys.chain(tables).collect();
        names.sort();
        names.dedup();
        names
    }

    /// The problems of keys in the table at `path` that nothing reads.
    pub(crate) fn unknown(&self, path: &str, table: &DeTable<'_>, problems: &mut Vec<Problem>) {
        let known = self.names(path);
        for (key, value) in table {
            let name = key.get_ref().as_ref();
            let inner_path = join(path, name);
            if !known.iter().any(|k| k == name) {
                problems.push(self.unknown_key(path, name, key.span(), &known));
            } else if let DeValue::Table(inner) = value.get_ref()
                && !self.names(&inner_path).is_empty()
            {
                self.unknown(&inner_path, inner, problems);
            }
        }
    }

    fn unknown_key(&self, path: &str, name: &str, span: Range<usize>, known: &[String]) -> Problem {
        let place = if path.is_empty() {
            "at the top of the file".to_string()
        } else {
            format!("in [{path}]")
        };
        let home = self.rows.iter().find(|row| row.key == name);
        let near = nearest(name, known.iter().map(String::as_str));
        let label = match (near, home) {
            (Some(near), _) if strsim::damerau_levenshtein(near, name) <= 2 => {
                format!("did you mean {near}?")
            }
            (_, Some(row)) if row.table.is_empty() => {
                format!("{name} stands at the top, before any table")
            }
            (_, Some(row)) => format!("{name} belongs in [{}]", row.table),
            (Some(near), None) => format!("the nearest known key is {near}"),
            (None, None) => "no such key".to_string(),
        };
        Problem {
            span: Some(span),
            title: format!("unknown key {name} {place}"),
            label,
            help: Some(format!("known {place}: {}", known.join(", "))),
        }
    }
}
