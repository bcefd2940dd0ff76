/*! A column as a first look sees it: its header, its cells that are not blank, and what they hold. */

use crate::records::Outcome;
use crate::records::cells::field::{self, Field};
use crate::records::cells::footnote::{bracketed, footnoted};
use crate::records::cells::marks::Marks;
use crate::records::cells::number::last_digits::last_digits;
use crate::records::cells::number::written::{is_error, is_no_number, pair, written};
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::OnceLock;

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
    /// How often each value stands there, in the order of the first of them; known once it is asked for.
    counted: OnceLock<Vec<(u32, u32)>>,
}

impl Sample {
    pub(crate) fn new(header: &str) -> Self {
        Sample {
            header: header.to_string(),
            values: Vec::new(),
            rows: Vec::new(),
            padded: BTreeMap::new(),
            added: 0,
            counted: OnceLock::new(),
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
            self.counted.take();
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

    /// The values that are not blank, each once with how often it stands there, in the order of the first of them.
    pub(super) fn counted(&self) -> impl Iterator<Item = (&str, usize)> {
        let counted = self.counted.get_or_init(|| {
            let mut places: HashMap<&str, usize> = HashMap::new();
            let mut counted: Vec<(u32, u32)> = Vec::new();
            for (index, value) in self.values().enumerate() {
                let place = *places.entry(value).or_insert(counted.len());
                match counted.get_mut(place) {
                    Some((_, count)) => *count += 1,
                    None => counted.push((index as u32, 1)),
                }
            }
            counted
        });
        let value = |(first, count): &(u32, u32)| {
            let value = self.values.get(*first as usize);
            (value.map_or("", String::as_str), *count as usize)
        };
        counted.iter().map(value)
    }

    /// True where nearly all values pass; looks at each distinct one once, and at no more of them than decide it.
    pub(super) fn mostly(&self, test: impl Fn(&str) -> bool) -> bool {
        let enough = ENOUGH * self.values.len() as f64;
        let (mut fitting, mut left) = (0, self.values.len());
        for (value, count) in self.counted() {
            left -= count;
            if test(value) {
                fitting += count;
            }
            if ((fitting + left) as f64) < enough {
                return false;
            }
        }
        fitting as f64 >= enough
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
        self.counted().count()
    }
}

/// True for a cell of a column of numbers: with a unit or ± around it, two in one, or none.
pub(super) fn is_number(text: &str, marks: Marks) -> bool {
    let plain = |text: &str| written(text, marks).is_ok();
    let lone = |text: &str| {
        let text = footnoted(text).map_or(text, |(number, _)| number);
        plain(text) || bracketed(text).is_some_and(plain)
    };
    lone(text)
        || is_no_number(text)
        // What a spreadsheet could not work out stands for a number.
        || is_error(text)
        || pair(text).is_some_and(|(a, b)| lone(a) && lone(b))
        || last_digits(text).is_some_and(|both| both.parts(marks).is_some())
}

/// True for a text that no list of outcomes knows.
pub(super) fn is_unknown_outcome(text: &str) -> bool {
    field::outcome(Field::Text(text)).is_none_or(|(outcome, _)| outcome == Outcome::Unknown)
}

/// Told where neither header nor cells state a unit.
pub(super) const NO_UNIT: &str = "No unit was found: set unit under [checks].";
