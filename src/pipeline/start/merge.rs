/*! What a look drafts of one table of a pipeline file, merged with what the file says of it: what
stands there is kept, what it lacks is added, and what a person answered replaces the question. */

use super::adopted::Adopted;
use super::draft::{doubt_name, own_lines, table, tables};
use super::look::Form;
use super::places::{form_table, with_lines};
use super::stated::Stated;
use crate::records::guess::doubt::{Doubt, FILE_NOT_READ};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// A text to which lines were added.
pub(super) struct Merged {
    pub text: String,
    /// What was added or changed, and what was kept in spite of this look, in words.
    pub words: Vec<String>,
}

/// What a look drafts of one table.
pub(super) struct Draft<'a> {
    /// The table of the pipeline file: that of a form of checks, register or jobs.
    table: String,
    lines: Vec<Line>,
    /// Lines of `checks.doubts`.
    doubt_lines: Vec<Line>,
    doubts: &'a [Doubt],
    /// The number of a form, by which its doubts are named.
    number: usize,
    /// False where a file cannot be read as a table.
    is_read: bool,
}

/// A line of a draft.
struct Line {
    table: String,
    key: String,
    text: String,
}

impl<'a> Draft<'a> {
    /// That of a form of checks with its number, behind the forms `before`.
    pub(crate) fn of_form(form: &'a Form, before: &'a [Form], number: usize) -> Self {
        let doubts = own_lines(form, (before, &[]), number);
        Self {
            table: form_table(number),
            lines: lines_of(&tables(form, table(0)), number),
            doubt_lines: doubts.map(Line::of_doubt).collect(),
            doubts: &form.guess.doubts,
            number,
            is_read: !form.guess.is_unread(),
        }
    }

    /// That of a table beside the checks.
    pub(crate) fn of_beside(table: &'a Adopted, folder: &Path) -> Self {
        Self {
            table: table.table.kind.name().to_string(),
            lines: lines_of(&table.tables(folder), 0),
            doubt_lines: table.doubt_lines().map(Line::of_doubt).collect(),
            doubts: &table.table.doubts,
            number: 0,
            is_read: true,
        }
    }

    /// What the file that stands answers to a doubt.
    fn answer(&self, standing: &Stated, doubt: &Doubt) -> Option<String> {
        standing.answer(&self.table, &doubt_name(doubt, self.number), doubt)
    }

    /// The text of the file that stands with what it lacks.
    pub(crate) fn merged(&self, standing: &Stated) -> Merged {
        let answered: BTreeSet<String> = self
            .doubts
            .iter()
            .filter(|doubt| doubt.answer.is_some() && self.answer(standing, doubt).is_none())
            .flat_map(|doubt| [doubt_name(doubt, self.number), doubt.setting.to_string()])
            .collect();
        let mut merged = Merged {
            text: standing.text.clone(),
            words: Vec::new(),
        };
        let mut replaced = Vec::new();
        let mut added: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        for Line { table, key, text } in self.lines.iter().chain(&self.doubt_lines) {
            let place = standing.places.keys.get(&(table.clone(), key.clone()));
            let bare = text.split("  #").next().unwrap_or(text).trim_end();
            match place {
                Some(place) if answered.contains(key.as_str()) => {
                    merged.words.push(format!("Answered: {bare}"));
                    replaced.push((place.clone(), bare.to_string()));
                }
                Some(place) => {
                    let own = &standing.text[place.clone()];
                    let other = !(table == "checks.doubts" || key == "files" || key == "file");
                    if own != bare && other {
                        merged
                            .words
                            .push(format!("Kept: {own} (this look says {bare})"));
                    }
                }
                None if self.is_needless(table, key, bare, standing) => {}
                None => {
                    merged.words.push(format!("Added: {bare}"));
                    added.entry(table).or_default().push(text.clone());
                }
            }
        }
        // A file that is a table by now answers the question what it is.
        let unread = ("checks.doubts".to_string(), FILE_NOT_READ.to_string());
        if let Some(place) = standing.places.keys.get(&unread)
            && self.table == form_table(0)
            && self.is_read
            && standing.text[place.clone()].contains("? ")
        {
            let line = format!("{FILE_NOT_READ} = \"read when start looked again\"");
            merged.words.push(format!("Answered: {line}"));
            replaced.push((place.clone(), line));
        }
        replaced.sort_by_key(|(place, _)| std::cmp::Reverse(place.start));
        for (place, line) in replaced {
            merged.text.replace_range(place, &line);
        }
        for (table, lines) in added {
            merged.text = with_lines(&merged.text, table, &lines);
        }
        merged
    }

    /// True for a line that the file lacks and needs not.
    fn is_needless(&self, table: &str, key: &str, line: &str, standing: &Stated) -> bool {
        let columns = format!("{}.columns", self.table);
        match key {
            "files" | "file" | "sheets" | "sheet" => true,
            // What a person wrote as a table of its own, such as [checks.events].
            _ if standing.places.has_table(table, key) => true,
            // A header that a person gave another name.
            _ if table == columns => {
                let header = header_of(line);
                header.is_some_and(|header| standing.places.has_text(&columns, &header))
            }
            // The setting that a doubt is about is stated, and the doubt is not.
            _ if table == "checks.doubts" => {
                let mut doubts = self.doubts.iter();
                let doubt = doubts.find(|doubt| doubt_name(doubt, self.number) == key);
                let stated = |doubt: &Doubt| standing.states(&self.table, doubt.setting);
                doubt.is_some_and(|doubt| stated(doubt) || standing.asks(doubt))
            }
            // What a person answered stands, be it by leaving a setting out.
            _ => self
                .doubts
                .iter()
                .any(|doubt| doubt.setting == key && self.answer(standing, doubt).is_some()),
        }
    }
}

impl Line {
    /// A line of `checks.doubts`.
    fn of_doubt(text: String) -> Self {
        let key = text.split(" = ").next().unwrap_or_default();
        Self {
            table: "checks.doubts".to_string(),
            key: key.to_string(),
            text,
        }
    }
}

/// The text that a line states.
fn header_of(line: &str) -> Option<String> {
    let table: toml::Table = line.parse().ok()?;
    let (_, value) = table.into_iter().next()?;
    value.as_str().map(str::to_string)
}

/// The lines of drafted tables, those of checks as tables of the form `number`.
fn lines_of(text: &str, number: usize) -> Vec<Line> {
    let mut table = String::new();
    let mut lines = Vec::new();
    for line in text.lines() {
        if let Some(rest) = line.strip_prefix('[') {
            let name = rest.split(']').next().unwrap_or(rest);
            table = match name.strip_prefix("checks") {
                Some(inner) => form_table(number) + inner,
                None => name.to_string(),
            };
        } else if let Some((key, _)) = line.split_once(" = ")
            && !line.starts_with('#')
        {
            lines.push(Line {
                table: table.clone(),
                key: key.to_string(),
                text: line.to_string(),
            });
        }
    }
    lines
}
