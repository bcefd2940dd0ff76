/*! A column as a first look sees it: its header, its cells that are not blank, and what they hold. */

use crate::records::Outcome;
use crate::records::cells::field::{self, Field};
use crate::records::cells::footnote::{bracketed, footnoted};
use crate::records::cells::marks::Marks;
use crate::records::cells::number::written::{is_no_number, pair, written};
use std::collections::{BTreeMap, BTreeSet};

/// Bytes of a cell that are looked at: a longer text is a remark, and may be a whole page.
const LONGEST: usize = 500;

/// Share of the values that must fit a meaning.
const ENOUGH: f64 = 0.8;

/// One column of the person's file.
#[derive(Debug, Clone)]
pub(crate) struct Sample {
    pub header: String,
    pub(super) values: Vec<String>,
    /// The row of each value, among those that were added.
    rows: Vec<u32>,
    /// The values with blanks at their ends as they stand there, and how often.
    padded: BTreeMap<String, usize>,
    added: u32,
}

impl Sample {
    pub(crate) fn new(header: &str) -> Self {
        Sample {
            header: header.to_string(),
            values: Vec::new(),
            rows: Vec::new(),
            padded: BTreeMap::new(),
            added: 0,
        }
    }

    pub(crate) fn add(&mut self, value: &str) {
        let whole = value;
        let value = value.trim();
        if !value.is_empty() {
            if value.len() < whole.len() && whole.len() <= LONGEST {
                *self.padded.entry(whole.to_string()).or_default() += 1;
            }
            let value = &value[..value.floor_char_boundary(LONGEST)];
            self.values.push(value.to_string());
            self.rows.push(self.added);
        }
        self.added += 1;
    }

    /// The values that are not blank.
    pub(crate) fn values(&self) -> impl Iterator<Item = &str> {
        self.values.iter().map(String::as_str)
    }

    /// The values that are not blank, each with its row.
    pub(super) fn by_row(&self) -> impl Iterator<Item = (u32, &str)> {
        self.rows.iter().copied().zip(self.values())
    }

    pub(super) fn mostly(&self, test: impl Fn(&str) -> bool) -> bool {
        let fitting = self.values().filter(|v| test(v)).count();
        fitting as f64 >= ENOUGH * self.values.len() as f64
    }

    /// True where there are cells, and mostly numbers.
    pub(super) fn holds_numbers(&self, marks: Marks) -> bool {
        !self.values.is_empty() && self.mostly(|text| is_number(text, marks))
    }

    /// True where blanks stand at the ends of values, as in columns of one width, and none of them becomes
    /// another without.
    pub(super) fn is_padded(&self) -> bool {
        let trimmed: BTreeSet<&str> = self.padded.keys().map(|v| v.trim()).collect();
        let all = self.values().filter(|v| trimmed.contains(v)).count();
        all > 0 && trimmed.len() == self.padded.len() && all == self.padded.values().sum::<usize>()
    }

    pub(super) fn distinct(&self) -> usize {
        self.values.iter().collect::<BTreeSet<_>>().len()
    }
}

/// True for a cell of a column of numbers: with a unit or ± around it, two in one, or none.
pub(super) fn is_number(text: &str, marks: Marks) -> bool {
    let plain = |text: &str| written(text, marks).is_ok();
    let lone = |text: &str| {
        let text = footnoted(text).map_or(text, |(number, _)| number);
        plain(text) || bracketed(text).is_some_and(plain)
    };
    // What a spreadsheet could not work out stands for a number.
    let error = || {
        let word = text.strip_prefix('#');
        word.is_some_and(|word| word.ends_with(['!', '?']) || word.starts_with("N/"))
    };
    lone(text)
        || is_no_number(text)
        || error()
        || pair(text).is_some_and(|(a, b)| lone(a) && lone(b))
}

/// True for a text that no list of outcomes knows.
pub(super) fn is_unknown_outcome(text: &str) -> bool {
    field::outcome(Field::Text(text)).is_none_or(|(outcome, _)| outcome == Outcome::Unknown)
}

/// Told where neither header nor cells state a unit.
pub(super) const NO_UNIT: &str = "No unit was found: set unit under [checks].";
