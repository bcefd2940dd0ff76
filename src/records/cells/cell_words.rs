/*! Words and signs that people write in cells, whatever their column. */

use serde::Deserialize;
use std::collections::HashMap;
use std::sync::LazyLock;

/// The words, as they were when the program was built.
const FILE: &str = include_str!("../../../data/words/cells.toml");

// A test counts some of them, so that what is built has words.
pub(super) static CELL_WORDS: LazyLock<CellWords> =
    LazyLock::new(|| toml::from_str(FILE).unwrap_or_default());

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CellWords {
    /// For a cell in which nothing stands.
    pub nothing: Vec<String>,
    /// That say "none".
    pub none: Vec<String>,
    of_reading: Vec<String>,
    of_range: Vec<String>,
    /// Units in Cyrillic letters with the symbol that each is.
    pub cyrillic_units: HashMap<String, String>,
}

impl CellWords {
    /// True for words that say "of the reading".
    pub(super) fn say_of_reading(&self, text: &str) -> bool {
        self.of_reading.iter().any(|words| words == text)
    }

    /// True for words that say "of the range".
    pub(super) fn say_of_range(&self, text: &str) -> bool {
        self.of_range.iter().any(|words| words == text)
    }
}
