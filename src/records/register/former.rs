/*! Former names: a renamed item keeps its history, its jobs, its cases and its approvals.

The register names them (`formerly`, several separated by `;`). Whatever the records, the readings,
the jobs or the books say of a former name is said of the present one.
*/

use super::super::cells::batch::Batch;
use super::super::reading::csv::text::{TableText, split_header};
use super::super::reading::header::{Wanted, match_headers};
use super::super::reading::table::{Table, TableColumn, TableFormat};
use super::super::reading::{files, source, workbook};
use super::super::settings::RegisterSettings;
use super::super::{LoadError, Warning, date};
use crate::records::reading::decoding::decode;
use crate::words::history_name;
use std::collections::{BTreeMap, HashSet};
use std::path::Path;

/// Why a name is no former name of an item.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
enum NameTaken {
    #[error("\"{0}\" is the item's present name")]
    Present(String),
    #[error("\"{former}\" is named as a former name of \"{instrument}\", and has a row of its own")]
    OwnRow { former: String, instrument: String },
    #[error(
        "\"{former}\" is named as a former name of two items, \"{}\" and \"{}\"",
        .items[0],
        .items[1]
    )]
    Two { former: String, items: [String; 2] },
}

/// Mark between former names.
const SEPARATOR: char = ';';

/// Present names by former ones.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FormerNames(BTreeMap<String, String>);

pub(super) fn names_in(cell: &str) -> impl Iterator<Item = &str> {
    cell.split(SEPARATOR)
        .map(str::trim)
        .filter(|name| !name.is_empty())
}

/// How the file of the register is written.
pub(super) fn format_of(settings: &RegisterSettings) -> TableFormat<'_> {
    TableFormat {
        delimiter: settings.delimiter,
        encoding: settings.encoding,
        sheet: &settings.sheet,
        decimal_comma: settings.decimal_comma,
        ..TableFormat::default()
    }
}

impl FormerNames {
    /// The former names that the register at `path` states; none where it has no such column.
    ///
    /// # Errors
    /// A register that cannot be read; a former name of two items, of the item itself, or of
    /// one that has a row of its own.
    pub(crate) fn of_register(
        path: &Path,
        shown: &str,
        settings: &RegisterSettings,
    ) -> Result<Self, LoadError> {
        let own = &settings.columns;
        let columns = [
            ("instrument", own.instrument.as_deref()),
            ("formerly", own.formerly.as_deref()),
        ];
        if !has_column(path, shown, settings, columns[1]).unwrap_or(false) {
            return Ok(Self::default());
        }
        let columns = columns.map(|(name, own)| TableColumn {
            name,
            own,
            text: true,
            needed: name == "instrument",
        });
        // What cannot be read at all is told where the whole register is read.
        let Ok(table) = Table::read(path, shown, &columns, format_of(settings)) else {
            return Ok(Self::default());
        };
        let field = |row: usize, column: usize| table.field(row, column).text().trim().to_string();
        let present: HashSet<String> = (0..table.len()).map(|row| field(row, 0)).collect();
        let mut names = Self::default();
        for row in 0..table.len() {
            let instrument = field(row, 0);
            if instrument.is_empty() {
                continue;
            }
            for former in names_in(&field(row, 1)) {
                names.add(former, &instrument, &present).map_err(|what| {
                    let place = format!("{}, column \"formerly\"", table.place(row));
                    let mend = "name each earlier name once, in the row of the item that had it";
                    LoadError::new(place, what, mend)
                })?;
            }
        }
        Ok(names)
    }

    fn add(
        &mut self,
        former: &str,
        instrument: &str,
        present: &HashSet<String>,
    ) -> Result<(), NameTaken> {
        if former == instrument {
            return Err(NameTaken::Present(former.to_string()));
        }
        if present.contains(former) {
            return Err(NameTaken::OwnRow {
                former: former.to_string(),
                instrument: instrument.to_string(),
            });
        }
        match self.0.insert(former.to_string(), instrument.to_string()) {
            Some(other) if other != instrument => Err(NameTaken::Two {
                former: former.to_string(),
                items: [other, instrument.to_string()],
            }),
            _ => Ok(()),
        }
    }

    /// True where nothing was renamed.
    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The present name of what is called `name`.
    pub(crate) fn present<'a>(&'a self, name: &'a str) -> &'a str {
        self.0.get(name).map_or(name, String::as_str)
    }

    /// Gives `name` its present form.
    pub(crate) fn renew(&self, name: &mut String) {
        if let Some(present) = self.0.get(name.as_str()) {
            name.clone_from(present);
        }
    }

    /// Former names of `instrument`, in order.
    pub(crate) fn of<'a>(&'a self, instrument: &'a str) -> impl Iterator<Item = &'a str> {
        self.0
            .iter()
            .filter(move |(_, present)| *present == instrument)
            .map(|(former, _)| former.as_str())
    }

    /// Warnings of former names with checks after the first under the present name: either may
    /// be another item.
    pub(crate) fn overlaps(&self, batches: &[Batch]) -> Vec<Warning> {
        if self.is_empty() {
            return Vec::new();
        }
        // Last check under each former name, and first under the present one.
        let mut spans: BTreeMap<(&str, &str, &str), f64> = BTreeMap::new();
        let mut firsts: BTreeMap<(&str, &str), f64> = BTreeMap::new();
        for batch in batches {
            let names: Vec<(&str, &str)> = batch.names.iter().collect();
            for (code, day) in batch.code.iter().zip(&batch.columns.date) {
                let Some((name, point)) = names.get(*code as usize).copied() else {
                    continue;
                };
                match self.0.get_key_value(name) {
                    Some((former, present)) => {
                        let last = spans.entry((present, point, former)).or_insert(*day);
                        *last = last.max(*day);
                    }
                    None => {
                        let first = firsts.entry((name, point)).or_insert(*day);
                        *first = first.min(*day);
                    }
                }
            }
        }
        let overlapping = spans.iter().filter_map(|((present, point, former), last)| {
            let first = firsts.get(&(*present, *point)).filter(|first| *first <= last)?;
            let place = history_name(present, point);
            let words = format!(
                "checks under the former name {former} go on to {}, after the first under the present name on {}: both are taken for one item; see that no other item has had the name",
                date::iso(last.floor()),
                date::iso(first.floor())
            );
            Some(Warning::new(place, words))
        });
        overlapping.collect()
    }
}

/// True where the register has the column; a whole reading is saved where it has not.
fn has_column(
    path: &Path,
    shown: &str,
    settings: &RegisterSettings,
    (name, own): (&'static str, Option<&str>),
) -> Result<bool, LoadError> {
    if files::is_parquet(path) || workbook::is_workbook(path) {
        return Ok(true);
    }
    let bytes = source::read(path, shown)?;
    let text = decode(&bytes, settings.encoding, shown)?;
    let split = split_header(TableText::of_file(&text, shown, settings.delimiter))?;
    // Where the first row is no header of it, the whole reading finds the table.
    let matched = match_headers(shown, split.header, &[Wanted { name, own }]);
    Ok(matched.map_or(true, |m| m.positions.first().is_some_and(Option::is_some)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<FormerNames, LoadError> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("register.csv");
        std::fs::write(&path, text).unwrap();
        FormerNames::of_register(&path, "register.csv", &RegisterSettings::default())
    }

    #[test]
    fn every_former_name_leads_to_the_present_one() {
        let names = read("instrument,point,formerly\nB,,A; Old A\nB,1,A\nC,,\n").unwrap();
        assert_eq!(names.present("A"), "B");
        assert_eq!(names.present("Old A"), "B");
        assert_eq!(names.present("C"), "C");
        assert_eq!(names.of("B").collect::<Vec<_>>(), ["A", "Old A"]);
        assert!(read("instrument,group\nB,A\n").unwrap().is_empty());
    }

    #[test]
    fn a_former_name_belongs_to_one_item() {
        for (text, words) in [
            (
                "instrument,formerly\nB,A\nC,A\n",
                "row 3, column \"formerly\": \"A\" is named as a former name of two items, \"B\" and \"C\"",
            ),
            (
                "instrument,formerly\nB,B\n",
                "\"B\" is the item's present name",
            ),
            (
                "instrument,formerly\nB,A\nA,\n",
                "\"A\" is named as a former name of \"B\", and has a row of its own",
            ),
        ] {
            let refusal = read(text).unwrap_err().to_string();
            says!(refusal, words);
        }
    }
}
