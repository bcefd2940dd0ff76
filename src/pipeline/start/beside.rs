/*! The register and the jobs that stand beside the checks, in files or sheets of their own: told from
them, and asked about where a table may be either. */

use super::adopted::{Adopted, Looked};
use super::kept::Standing;
use super::person::Person;
use crate::records::guess::beside::{Beside, Kind};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::file::look;
use crate::records::guess::looked::Held;
use crate::records::guess::sight::{Sight, rows_of_each};
use crate::records::{Encoding, LoadError};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// The files as checks, and the tables that are set apart from them: where some file or sheet is
/// plainly checks, those that are plainly something else, and those that a person says to be.
pub(super) fn apart(
    files: Vec<PathBuf>,
    today: f64,
    standing: Option<&Standing>,
    person: &mut dyn Person,
) -> (Vec<Looked>, Vec<Adopted>) {
    let looking = Looking {
        today,
        rows: rows_of_each(files.len()),
    };
    let sorted = |path| Sorted::of(path, looking, standing);
    let mut all: Vec<Sorted> = files.into_par_iter().map(sorted).collect();
    if !all.iter().any(Sorted::is_plain) {
        for lone in all.iter().flat_map(|file| &file.sure) {
            person.tell(&format!(
                "{} may be {}, but no table of checks stands beside it.\n",
                lone.shown(),
                lone.words()
            ));
        }
        let whole = |file: Sorted| (file.path, file.whole);
        return (all.into_iter().map(whole).collect(), Vec::new());
    }
    let mut adopted: Vec<Adopted> = Vec::new();
    for file in &mut all {
        file.ask(looking, standing, person);
        adopted.append(&mut file.sure);
    }
    let checks = all.into_iter().filter_map(|file| {
        let rest = file.rest?;
        Some((file.path, rest))
    });
    let checks: Vec<Looked> = checks.collect();
    let mut adopted = one_of_each(adopted);
    let read = checks.iter().filter_map(|(_, guess)| guess.as_ref().ok());
    let names: BTreeSet<&str> = read
        .flat_map(|guess| &guess.instruments)
        .map(String::as_str)
        .collect();
    let registers = adopted
        .iter_mut()
        .filter(|a| a.table.kind == Kind::Register);
    registers.for_each(|register| register.table.name_as(&names));
    (checks, adopted)
}

/// The first table of each kind; that there are others is a doubt.
fn one_of_each(adopted: Vec<Adopted>) -> Vec<Adopted> {
    let mut kept: Vec<Adopted> = Vec::new();
    for (kind, name) in [
        (Kind::Register, "several_registers"),
        (Kind::Jobs, "several_jobs"),
    ] {
        let mut of_kind = adopted.iter().filter(|table| table.table.kind == kind);
        let Some(mut first) = of_kind.next().cloned() else {
            continue;
        };
        let others: Vec<String> = of_kind.map(Adopted::shown).collect();
        if !others.is_empty() {
            let words = format!(
                "More than one table may be {}: {} is read, and not {}. Join them into one, or leave the others out.",
                first.words(),
                first.shown(),
                others.join(", ")
            );
            let doubt = Doubt::new(name, words);
            let doubt = doubt.or(format!("{} alone counts", first.shown()), Answer::AsTaken);
            first.table.doubts.push(doubt);
        }
        kept.push(first);
    }
    kept
}

/// The day on which files are looked at, and how many rows of each.
#[derive(Debug, Clone, Copy)]
struct Looking {
    today: f64,
    rows: usize,
}

impl Looking {
    fn sight<'a>(&self, apart: &'a [String], stated: Option<Encoding>) -> Sight<'a> {
        Sight {
            today: self.today,
            apart,
            stated,
            rows: self.rows,
        }
    }
}

/// A file with what it holds, sorted.
struct Sorted {
    path: PathBuf,
    /// All of it as checks.
    whole: Result<Guess, LoadError>,
    /// What is left of it as checks; `None` where nothing is.
    rest: Option<Result<Guess, LoadError>>,
    /// What is plainly something else.
    sure: Vec<Adopted>,
    /// What may be something else.
    unsure: Vec<Adopted>,
    /// The sheets that a pipeline file which stands reads in forms of their own.
    others: Vec<String>,
}

impl Sorted {
    fn of(path: PathBuf, looking: Looking, standing: Option<&Standing>) -> Self {
        let stated = standing.and_then(|standing| standing.encoding(&path));
        let others = standing.map(|standing| standing.sheets_of_others(&path));
        let others = others.unwrap_or_default();
        let (whole, beside) = match look(&path, looking.sight(&others, stated)) {
            Ok(Held { checks, beside }) => (Ok(checks), beside),
            Err(why) => (Err(why), Vec::new()),
        };
        let named = |table: &Beside| standing.is_some_and(|s| s.names(table.kind, &path));
        let as_checks = |table: &Beside| standing.is_some_and(|s| s.reads(&path, &table.sheet));
        let tables = beside.into_iter().map(|table| Adopted {
            table: Beside {
                sure: table.sure || named(&table),
                ..table
            },
            path: path.clone(),
        });
        let asked = |table: &Adopted| standing.is_some_and(|s| s.stated.asks(&table.doubt()));
        let tables = tables.filter(|adopted| {
            let table = &adopted.table;
            named(table) || !as_checks(table) || asked(adopted)
        });
        let (sure, unsure) = tables.partition(|adopted| adopted.table.sure);
        let mut sorted = Sorted {
            rest: Some(whole.clone()),
            whole,
            path,
            sure,
            unsure,
            others,
        };
        sorted.set_apart(looking);
        sorted
    }

    /// Takes what is plainly something else from the checks.
    fn set_apart(&mut self, looking: Looking) {
        if self.sure.is_empty() {
            return;
        }
        let tables = self.sure.iter();
        let mut sheets: Vec<String> = tables.map(|t| t.table.sheet.clone()).collect();
        self.rest = match sheets.iter().any(String::is_empty) {
            true => None,
            // A workbook of which no sheet is left has no checks.
            false => {
                sheets.extend(self.others.iter().cloned());
                let rest = look(&self.path, looking.sight(&sheets, None));
                rest.map(|held| Ok(held.checks)).ok()
            }
        };
    }

    /// True where something in it is checks, and can be nothing else.
    fn is_plain(&self) -> bool {
        let Some(Ok(rest)) = &self.rest else {
            return false;
        };
        let open = |sheet: &String| self.unsure.iter().any(|other| other.table.sheet == *sheet);
        let sheets = match rest.sheets.is_empty() {
            true => self.unsure.is_empty(),
            false => rest.sheets.iter().any(|sheet| !open(sheet)),
        };
        sheets && rest.missing().is_empty() && !rest.by_content()
    }

    /// Asks what else a table may be; what a person says to be something else is set apart.
    fn ask(&mut self, looking: Looking, standing: Option<&Standing>, person: &mut dyn Person) {
        for table in std::mem::take(&mut self.unsure) {
            let mut doubt = table.doubt();
            doubt.asked = true;
            if standing.is_some_and(|s| s.reads(&self.path, &table.table.sheet)) {
                // What a file states is not taken out of it.
                doubt
                    .choices
                    .retain(|choice| choice.answer != Answer::Apart);
            }
            let said = standing.and_then(|standing| standing.answer_of_file(&self.path, &doubt));
            let answer = match said {
                Some(said) => Some((Answer::AsTaken, said)),
                None => person.ask(&doubt),
            };
            match answer {
                Some((Answer::Apart, _)) => {
                    self.sure.push(table);
                    self.set_apart(looking);
                    continue;
                }
                Some((_, words)) => doubt.answer = Some(words),
                None => {}
            }
            if let Some(Ok(rest)) = &mut self.rest {
                rest.doubts.push(doubt);
            }
        }
    }
}
