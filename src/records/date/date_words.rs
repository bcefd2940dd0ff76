/*! Words of dates that the program knows: days of the week, months, and what marks a half-year, a quarter or a week. */

use serde::Deserialize;
use std::sync::LazyLock;

/// The words, as they were when the program was built.
const FILE: &str = include_str!("../../../data/words/dates.toml");

// A test reads the file, so that what is built has words.
pub(super) static DATE_WORDS: LazyLock<DateWords> =
    LazyLock::new(|| toml::from_str(FILE).unwrap_or_default());

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct DateWords {
    /// Names of the days of the week, from Monday on.
    pub weekdays: [Vec<String>; 7],
    /// Names of the months as the formats have them, each with how those of other languages begin.
    pub months: Vec<(String, Vec<String>)>,
    pub periods: Periods,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Periods {
    pub quarter: Markers,
    pub week: Markers,
    pub half_year: Markers,
}

/// What marks the number of a period: letters that touch it, before it or on either side, and words.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Markers {
    pub before: Vec<String>,
    pub beside: Vec<String>,
    pub words: Vec<String>,
}
