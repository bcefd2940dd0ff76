/*! A register or jobs that the draft adopts: what is told of the table, and its lines. */

use super::lines::{letters_lines, not_read_line, some_of};
use super::person::Person;
use super::stated::Stated;
use crate::records::LoadError;
use crate::records::guess::beside::{Beside, Kind};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::settings::toml_text::quoted;
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// A file with what it is as checks.
pub(super) type Looked = (PathBuf, Result<Guess, LoadError>);

/// A table beside the checks that the draft adopts.
#[derive(Debug, Clone)]
pub(super) struct Adopted {
    /// What it is.
    pub table: Beside,
    /// Its file.
    pub path: PathBuf,
}

impl Adopted {
    /// Asks what its first look left open, and the file that stands does not answer.
    pub(crate) fn settle(&mut self, stated: Option<&Stated>, person: &mut dyn Person) {
        let (table, place) = (self.table.kind.name(), self.shown());
        let mut doubts = std::mem::take(&mut self.table.doubts);
        for doubt in &mut doubts {
            if let Some(said) = stated.and_then(|s| s.answer(table, doubt.name, doubt)) {
                doubt.answer = Some(said);
            } else if let Some((answer, words)) = person.ask(&Doubt {
                words: format!("{place}: {}", doubt.words),
                ..doubt.clone()
            }) {
                self.table.take(&answer);
                doubt.answer = Some(words);
            }
        }
        self.table.doubts = doubts;
    }

    /// Its file, and its sheet where it is one of a workbook.
    pub(crate) fn shown(&self) -> String {
        let name = self.path.file_name().unwrap_or(self.path.as_os_str());
        let name = name.to_string_lossy();
        match self.table.sheet.as_str() {
            "" => name.into_owned(),
            sheet => format!("{name}, sheet \"{sheet}\""),
        }
    }

    pub(crate) fn words(&self) -> &'static str {
        match self.table.kind {
            Kind::Register => "a register of the instruments",
            Kind::Jobs => "a table of jobs done with the instruments",
        }
    }

    /// What it was taken for, and its columns.
    pub(crate) fn listing(&self) -> String {
        let mut text = format!("\n{}: read as {}:\n", self.shown(), self.words());
        for (name, header) in &self.table.columns {
            let _ = writeln!(text, "  {name:<21} \"{header}\"");
        }
        let to_check = self.table.to_check.iter().cloned();
        for line in self.table.to_state.lines().chain(to_check) {
            let _ = writeln!(text, "  {line}");
        }
        if !self.table.ignored.is_empty() {
            let _ = writeln!(text, "Not read: {}", some_of(&self.table.ignored));
        }
        text
    }

    /// Whether it is checks.
    pub(crate) fn doubt(&self) -> Doubt {
        let columns = self.table.columns.iter();
        let columns: Vec<String> = columns
            .map(|(name, header)| format!("{name} \"{header}\""))
            .collect();
        let words = format!(
            "{} may be {} ({}), or hold checks; it is read as checks. If it holds none, take it out of [checks] and name it under [{}].",
            self.shown(),
            self.words(),
            columns.join(", "),
            self.table.kind.name()
        );
        let name = match self.table.kind {
            Kind::Register => "register_or_checks",
            Kind::Jobs => "jobs_or_checks",
        };
        let doubt = Doubt::new(name, words).or("checks", Answer::AsTaken);
        doubt.or(self.words(), Answer::Apart)
    }

    /// Its tables in the pipeline file.
    pub(crate) fn tables(&self, folder: &Path) -> String {
        let (table, name) = (&self.table, self.table.kind.name());
        let near = self.path.strip_prefix(folder).map(Path::to_path_buf);
        let near = near.or_else(|_| self.path.canonicalize());
        let near = near.unwrap_or_else(|_| self.path.clone());
        let file = quoted(&near.to_string_lossy().replace('\\', "/"));
        let mut text = format!("\n[{name}]\nfile = {file}\n");
        if !table.sheet.is_empty() {
            let _ = writeln!(text, "sheet = {}", quoted(&table.sheet));
        }
        letters_lines(&mut text, table.delimiter, table.encoding);
        for line in table.to_state.lines() {
            let _ = writeln!(text, "{line}");
        }
        let _ = write!(
            text,
            "\n[{name}.columns]               # our name = your header\n"
        );
        for (name, header) in &table.columns {
            let _ = writeln!(text, "{name} = {}", quoted(header));
        }
        for name in &table.off {
            let _ = writeln!(text, "{name} = false");
        }
        not_read_line(&mut text, &table.ignored);
        text
    }

    /// Its doubts as lines: each its question while it is open, else the answer.
    pub(crate) fn doubt_lines(&self) -> impl Iterator<Item = String> {
        let place = self.shown();
        self.table.doubts.iter().map(move |doubt| {
            let text = match &doubt.answer {
                Some(answer) => format!("{place}: {answer}"),
                None => format!("? {place}: {}", doubt.words),
            };
            format!("{} = {}", doubt.name, quoted(&text))
        })
    }
}

/// True where one of the tables is a register, which may state limits.
pub(super) fn has_register(tables: &[Adopted]) -> bool {
    tables
        .iter()
        .any(|table| table.table.kind == Kind::Register)
}
