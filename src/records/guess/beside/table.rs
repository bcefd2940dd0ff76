/*! A table that stands beside the checks, as the draft names it. */

use super::super::doubt::{Answer, Doubt};
use super::super::stated::Stated;
use super::item_names::{ItemNames, better};
use crate::records::encoding::Encoding;
use crate::records::settings::words::Delimiter;
use crate::settings::toml_text::quoted;
use std::collections::BTreeSet;

crate::words::worded! {
    /// What such a table is.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub(crate) enum Kind with name {
        /// One row an instrument, or an instrument and a point.
        Register = "register",
        /// One row a piece of work.
        Jobs = "jobs",
    }
}

/// A table beside the checks, and how it is written.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Beside {
    /// What it is.
    pub kind: Kind,
    /// The sheet of a workbook; empty for any other file.
    pub sheet: String,
    /// Our names with the person's headers.
    pub columns: Vec<(&'static str, String)>,
    /// Headers that are not read.
    pub ignored: Vec<String>,
    /// Delimiter of a text.
    pub delimiter: Delimiter,
    /// Encoding of a text.
    pub encoding: Encoding,
    /// Further settings.
    pub to_state: Stated,
    /// What deserves a look and stops nothing.
    pub to_check: Vec<String>,
    /// What a person must decide.
    pub doubts: Vec<Doubt>,
    /// False where it may as well be a table of checks.
    pub sure: bool,
    /// Our names that stand over columns of something else: a run would read them.
    pub off: Vec<&'static str>,
    /// Columns that may name the instruments.
    pub item_names: Vec<ItemNames>,
}

impl Beside {
    /// Takes the column whose names are those of the `checks`, where the one that was taken has fewer of them.
    pub(crate) fn name_as(&mut self, checks: &BTreeSet<&str>) {
        let mut columns = self.columns.iter();
        let Some((_, taken)) = columns.find(|(name, _)| *name == "instrument").cloned() else {
            return;
        };
        let Some(header) = better(&self.item_names, &taken, checks).map(str::to_string) else {
            return;
        };
        self.columns.retain(|(_, own)| *own != header);
        self.ignored.retain(|own| *own != header);
        let own = self.columns.iter_mut().filter(|(_, own)| *own == taken);
        own.for_each(|(_, own)| own.clone_from(&header));
        self.to_check.push(format!(
            "The instruments are named by \"{header}\", whose names are those of the checks, and not by \"{taken}\"."
        ));
        self.ignored.push(taken);
    }

    /// Changes what the draft says by an answer.
    pub(crate) fn take(&mut self, answer: &Answer) {
        let (key, value) = match answer {
            Answer::State(key, value) => (*key, value.clone()),
            Answer::Dates(format) => ("date_format", quoted(format)),
            _ => return,
        };
        self.to_state.set(key, value);
    }
}
