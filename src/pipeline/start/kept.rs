/*! A pipeline file that is there already: what it says is kept, and only what it lacks is added. */

use super::adopted::Adopted;
use super::draft::{doubt_line, own_lines, tables};
use super::look::Form;
use super::person::{Person, StartError, parsed};
use crate::records::guess::beside::Kind;
use crate::records::guess::doubt::{Doubt, FILE_NOT_READ};
use crate::settings::file::PipelineFile;
use crate::settings::plan;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::path::{Path, PathBuf};
use toml::de::{DeTable, DeValue};

/// A pipeline file that stands, and where what in it stands.
pub(super) struct Standing {
    /// Its text.
    pub text: String,
    file: PipelineFile,
    /// The folder in which it stands.
    folder: PathBuf,
    /// The files of checks that it names, with their forms.
    covered: Vec<(PathBuf, usize)>,
    places: Places,
}

/// A text to which lines were added.
pub(super) struct Merged {
    /// The text.
    pub text: String,
    /// What was added or changed, and what was kept in spite of this look, in words.
    pub words: Vec<String>,
}

/// Where the keys of a text stand, from key to value, and where its tables end.
#[derive(Default)]
struct Places {
    keys: BTreeMap<(String, String), Range<usize>>,
    ends: BTreeMap<String, usize>,
}

impl Places {
    fn of(text: &str) -> Self {
        let mut places = Places::default();
        if let Ok(tree) = DeTable::parse(text) {
            places.walk("", tree.get_ref());
        }
        places
    }

    fn walk(&mut self, path: &str, table: &DeTable<'_>) {
        for (key, value) in table {
            let name = key.get_ref().to_string();
            let inner = match path {
                "" => name.clone(),
                path => format!("{path}.{name}"),
            };
            match value.get_ref() {
                DeValue::Table(table) => {
                    self.ends.insert(inner.clone(), key.span().end);
                    self.walk(&inner, table);
                }
                _ => {
                    let place = key.span().start..value.span().end;
                    let end = self.ends.entry(path.to_string()).or_default();
                    *end = (*end).max(place.end);
                    self.keys.insert((path.to_string(), name), place);
                }
            }
        }
    }
}

impl Standing {
    /// The pipeline file at `file`; `None` where there is none.
    ///
    /// # Errors
    /// One that cannot be read, or is no pipeline file.
    pub fn read(file: &Path) -> Result<Option<Self>, StartError> {
        if std::fs::symlink_metadata(file).is_err() {
            return Ok(None);
        }
        let text = plan::read(file).map_err(|why| StartError(why.to_string()))?;
        let shown = file.to_string_lossy();
        let parsed = PipelineFile::parse(&text).map_err(|problems| {
            let words = problems.iter().map(|problem| problem.render(&shown, &text));
            let words: Vec<String> = words.collect();
            StartError(format!(
                "{}\nhelp: this file is there already and nothing was written; mend it, or move it away",
                words.join("\n\n")
            ))
        })?;
        let base = file.parent().unwrap_or(Path::new(""));
        let (covered, _) = plan::resolve_checks(&parsed, base, &mut Vec::new());
        let whole = |path: PathBuf| path.canonicalize().unwrap_or(path);
        Ok(Some(Standing {
            covered: covered
                .into_iter()
                .map(|(path, form)| (whole(path), form))
                .collect(),
            places: Places::of(&text),
            folder: base.to_path_buf(),
            file: parsed,
            text,
        }))
    }

    /// The form by which it reads a file; `None` where it does not name it.
    pub fn form_of(&self, path: &Path) -> Option<usize> {
        let own = path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
        let found = self.covered.iter().find(|(path, _)| *path == own);
        found.map(|(_, form)| *form)
    }

    /// True where it reads all files of a form by `[checks]`.
    pub fn reads_first(&self, form: &Form) -> bool {
        form.files.iter().all(|path| self.form_of(path) == Some(0))
    }

    /// What it answers to a doubt, or states in spite of it.
    pub fn answer(&self, doubt: &Doubt) -> Option<String> {
        match self.file.settings.checks.doubts.get(doubt.name) {
            Some(text) => (!text.starts_with('?')).then(|| text.clone()),
            None => self
                .states("checks", doubt.setting)
                .then(|| format!("as stated by {}", doubt.setting)),
        }
    }

    /// True where it names a file of that kind.
    pub fn states_file(&self, kind: Kind) -> bool {
        self.states(kind.name(), "file")
    }

    /// True where it names the file at `path` for a table of that kind.
    pub fn names(&self, kind: Kind, path: &Path) -> bool {
        let file = match kind {
            Kind::Register => &self.file.settings.register.file,
            Kind::Jobs => &self.file.settings.jobs.file,
        };
        let whole = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
        let named = file.as_ref().map(|file| whole(&self.folder.join(file)));
        named.is_some_and(|named| named == whole(path))
    }

    /// True where it reads the file, or of a workbook that sheet, as checks.
    pub fn reads(&self, path: &Path, sheet: &str) -> bool {
        let form = self.form_of(path);
        form.is_some_and(|form| {
            let sheets = &self.file.settings.checks.form(form).sheets;
            sheet.is_empty() || sheets.iter().any(|own| own == sheet)
        })
    }

    fn states(&self, table: &str, key: &str) -> bool {
        self.places.keys.contains_key(&(table.into(), key.into()))
    }

    /// The text with what it lacks for these forms.
    ///
    /// # Errors
    /// A file to which nothing can be added.
    pub fn with(
        &self,
        forms: &[Form],
        (adopted, beside): (&[Adopted], &str),
        person: &mut dyn Person,
    ) -> Result<String, StartError> {
        let mut text = self.text.clone();
        let mut others = self.file.settings.checks.other.len();
        for (number, form) in forms.iter().enumerate() {
            let uncovered: Vec<usize> = (0..form.files.len())
                .filter(|i| self.form_of(&form.files[*i]).is_none())
                .collect();
            if uncovered.is_empty() {
                if self.reads_first(form) {
                    let merged = self.merged(form)?;
                    person.tell(&merged.words.join("\n"));
                    text = text.replacen(&self.text, &merged.text, 1);
                }
                continue;
            }
            others += 1;
            let mut own = form.clone();
            own.entries = match form.entries.len() == form.files.len() {
                true => uncovered.iter().map(|i| form.entries[*i].clone()).collect(),
                false => form.entries.clone(),
            };
            person.tell(&format!(
                "Added as a form of its own: {}.",
                own.entries.join(", ")
            ));
            let doubts: Vec<String> = own_lines(&own, &forms[..number], others).collect();
            text = with_lines(&text, "checks.doubts", &doubts);
            text.push_str(&tables(&own, "[[checks.other]]"));
        }
        let doubts: Vec<String> = adopted.iter().flat_map(Adopted::doubt_lines).collect();
        text = with_lines(&text, "checks.doubts", &doubts);
        text.push_str(beside);
        parsed(&text)?;
        Ok(text)
    }

    /// The text with what it lacks for the form of `[checks]`.
    ///
    /// # Errors
    /// A file to which nothing can be added.
    pub fn merged(&self, form: &Form) -> Result<Merged, StartError> {
        let drafted = drafted(form);
        let answered: BTreeSet<&str> = form
            .guess
            .doubts
            .iter()
            .filter(|doubt| doubt.answer.is_some() && self.answer(doubt).is_none())
            .flat_map(|doubt| [doubt.name, doubt.setting])
            .collect();
        // What a person answered stands, be it by leaving a setting out.
        let settled = |key: &str| {
            let of = |doubt: &Doubt| doubt.setting == key && self.answer(doubt).is_some();
            form.guess.doubts.iter().any(of)
        };
        let columns = self.file.settings.checks.columns.headers();
        let used = |line: &str| {
            let header =
                |header: &&str| line.ends_with(&format!("= {}", super::lines::quoted(header)));
            columns.iter().flatten().any(header)
        };
        let mut merged = Merged {
            text: self.text.clone(),
            words: Vec::new(),
        };
        let mut replaced = Vec::new();
        let mut added: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        for (table, key, line) in &drafted {
            let place = self.places.keys.get(&(table.clone(), key.clone()));
            let bare = line.split("  #").next().unwrap_or(line).trim_end();
            match place {
                Some(place) if answered.contains(key.as_str()) => {
                    merged.words.push(format!("Answered: {bare}"));
                    replaced.push((place.clone(), bare.to_string()));
                }
                Some(place) => {
                    let own = &self.text[place.clone()];
                    let other = !(table == "checks.doubts" || key == "files");
                    if own != bare && other {
                        merged
                            .words
                            .push(format!("Kept: {own} (this look says {bare})"));
                    }
                }
                None if key == "files" || key == "sheets" || settled(key) => {}
                None if table == "checks.columns" && used(bare) => {}
                None if table == "checks.doubts" && self.answered_by_setting(key, form) => {}
                None => {
                    merged.words.push(format!("Added: {bare}"));
                    added.entry(table).or_default().push(line.clone());
                }
            }
        }
        // A file that is a table by now answers the question what it is.
        let unread = ("checks.doubts".to_string(), FILE_NOT_READ.to_string());
        if let Some(place) = self.places.keys.get(&unread)
            && !form.guess.is_unread()
            && self.text[place.clone()].contains("? ")
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
        parsed(&merged.text)?;
        Ok(merged)
    }

    /// True where the setting that a doubt is about is stated here, and the doubt is not.
    fn answered_by_setting(&self, name: &str, form: &Form) -> bool {
        let doubt = form.guess.doubts.iter().find(|doubt| doubt.name == name);
        doubt.is_some_and(|doubt| self.states("checks", doubt.setting))
    }
}

/// The lines of a form's draft: table, key, line.
fn drafted(form: &Form) -> Vec<(String, String, String)> {
    let mut table = String::new();
    let mut lines = Vec::new();
    for line in tables(form, "[checks]").lines() {
        if let Some(rest) = line.strip_prefix('[') {
            table = rest.split(']').next().unwrap_or(rest).to_string();
        } else if let Some((key, _)) = line.split_once(" = ")
            && !line.starts_with('#')
        {
            lines.push((table.clone(), key.to_string(), line.to_string()));
        }
    }
    for doubt in form.guess.marked() {
        let line = doubt_line(doubt, form, 0);
        lines.push(("checks.doubts".to_string(), doubt.name.to_string(), line));
    }
    lines
}

/// `text` with lines at the end of a table, which is added where there is none.
fn with_lines(text: &str, table: &str, lines: &[String]) -> String {
    if lines.is_empty() {
        return text.to_string();
    }
    let lines = lines.join("\n");
    let Some(end) = Places::of(text).ends.get(table).copied() else {
        return format!("{}\n\n[{table}]\n{lines}\n", text.trim_end());
    };
    // Behind the comment of the line where the table ends.
    let end = text[end..].find('\n').map_or(text.len(), |more| end + more);
    format!("{}\n{lines}{}", &text[..end], &text[end..])
}
