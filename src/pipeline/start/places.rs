/*! Where the keys of a pipeline file's text stand, so that lines are changed and added in it. */

use std::collections::BTreeMap;
use std::ops::Range;
use toml::de::{DeTable, DeValue};

/// The array of forms behind the first.
const OTHER: &str = "checks.other";

/// The name of the table of a form, with its place where there are several.
pub(super) fn form_table(number: usize) -> String {
    match number {
        0 => "checks".to_string(),
        number => format!("{OTHER}[{number}]"),
    }
}

/// Where the keys of a text stand, from key to value, and where its tables end.
#[derive(Default)]
pub(super) struct Places {
    pub keys: BTreeMap<(String, String), Range<usize>>,
    ends: BTreeMap<String, usize>,
    /// The texts that a table states.
    texts: Vec<(String, String)>,
}

impl Places {
    /// Those of a text; none of one that is no TOML.
    pub(crate) fn of(text: &str) -> Self {
        let mut places = Places::default();
        if let Ok(tree) = DeTable::parse(text) {
            places.walk(text, "", tree.get_ref());
        }
        places
    }

    fn walk(&mut self, text: &str, path: &str, table: &DeTable<'_>) {
        for (key, value) in table {
            let name = key.get_ref().to_string();
            let inner = match path {
                "" => name.clone(),
                path => format!("{path}.{name}"),
            };
            match value.get_ref() {
                DeValue::Table(table) => {
                    // One in braces is the value of a key besides.
                    if text[value.span()].starts_with('{') {
                        let place = key.span().start..value.span().end;
                        self.keys.insert((path.to_string(), name), place);
                    }
                    self.ends.insert(inner.clone(), key.span().end);
                    self.walk(text, &inner, table);
                }
                DeValue::Array(elements) if inner == OTHER => {
                    let tables = elements.iter().map(|element| element.get_ref());
                    for (place, table) in tables.enumerate() {
                        if let DeValue::Table(table) = table {
                            self.walk(text, &form_table(place + 1), table);
                        }
                    }
                }
                value_of_key => {
                    let place = key.span().start..value.span().end;
                    let end = self.ends.entry(path.to_string()).or_default();
                    *end = (*end).max(place.end);
                    self.keys.insert((path.to_string(), name), place);
                    if let DeValue::String(value) = value_of_key {
                        self.texts.push((path.to_string(), value.to_string()));
                    }
                }
            }
        }
    }

    /// Where the form ends of which `table` is one, and the name that stands in brackets above it.
    fn end_of_form(&self, table: &str) -> Option<(usize, String)> {
        let (form, name) = table.split_once(']')?;
        let own = self.ends.iter().filter(|(path, _)| path.starts_with(form));
        let end = own.map(|(_, end)| *end).max()?;
        Some((end, format!("{OTHER}{name}")))
    }

    /// True where the table holds one of this name.
    pub(crate) fn has_table(&self, table: &str, name: &str) -> bool {
        self.ends.contains_key(&format!("{table}.{name}"))
    }

    /// True where some key of the table has this text as its value.
    pub(crate) fn has_text(&self, table: &str, text: &str) -> bool {
        self.texts_of(table).any(|own| own == text)
    }

    /// The values of a table that are texts.
    pub(crate) fn texts_of(&self, table: &str) -> impl Iterator<Item = &str> {
        let own = self.texts.iter().filter(move |(path, _)| path == table);
        own.map(|(_, text)| text.as_str())
    }
}

/// `text` with lines at the end of a table, which is added where there is none.
pub(super) fn with_lines(text: &str, table: &str, lines: &[String]) -> String {
    if lines.is_empty() {
        return text.to_string();
    }
    let lines = lines.join("\n");
    let places = Places::of(text);
    let (end, lines) = match (places.ends.get(table), places.end_of_form(table)) {
        (Some(end), _) => (*end, lines),
        // A table of a form stands behind the others of that form.
        (None, Some((end, name))) => (end, format!("\n[{name}]\n{lines}")),
        (None, None) => return format!("{}\n\n[{table}]\n{lines}\n", text.trim_end()),
    };
    // Behind the comment of the line where the table ends.
    let end = text[end..].find('\n').map_or(text.len(), |more| end + more);
    format!("{}\n{lines}{}", &text[..end], &text[end..])
}
