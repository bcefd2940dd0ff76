/*! Cuts single tables out of a parsed pipeline file. */

use super::SettingsTable;
use super::file_error::Problem;
use serde::de::DeserializeOwned;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A pipeline file whose tables are taken out one by one.
pub struct Sections<'a, 'file> {
    /// The whole file.
    pub tree: &'a DeTable<'file>,
    /// Paths of the tables that are taken out on their own, though they stand inside another.
    pub own: Vec<&'static str>,
    /// What could not be read.
    pub problems: &'a mut Vec<Problem>,
}

impl Sections<'_, '_> {
    /// The table of `T`; its default where the file lacks it.
    pub(crate) fn table<T: SettingsTable + DeserializeOwned>(&mut self) -> T {
        let mut here: Option<&Spanned<DeValue<'_>>> = None;
        for name in T::TABLE.split('.') {
            let inside = match here {
                None => Some(self.tree),
                Some(value) => value.get_ref().as_table(),
            };
            here = inside.and_then(|table| table.get(name));
        }
        let Some(value) = here else {
            return T::default();
        };
        let DeValue::Table(table) = value.get_ref() else {
            self.problems.push(Problem {
                span: Some(value.span()),
                title: format!("{} is a table", T::TABLE),
                label: format!("expected [{}], found {}", T::TABLE, a_type(value.get_ref())),
                help: None,
            });
            return T::default();
        };
        let mut table = table.clone();
        let prefix = format!("{}.", T::TABLE);
        for other in self
            .own
            .iter()
            .filter_map(|path| path.strip_prefix(&prefix))
        {
            table.remove(other.split('.').next().unwrap_or(other));
        }
        let cut = Spanned::new(value.span(), DeValue::Table(table));
        T::deserialize(toml::de::ValueDeserializer::from(cut)).unwrap_or_else(|error| {
            self.problems
                .push(Problem::from_toml(&error, Some(T::TABLE)));
            T::default()
        })
    }
}

/// "a value of type string", for an error.
pub(crate) fn a_type(value: &DeValue<'_>) -> String {
    format!("a value of type {}", value.type_str())
}
