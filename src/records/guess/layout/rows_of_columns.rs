/*! Tables in which each row states one thing of a check: its error, its uncertainty, its limit. */

use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::headers::folded;
use crate::records::guess::sample::Sample;
use crate::records::words::words;
use crate::words::quoted_list;
use std::collections::BTreeSet;

/// What a row may state that is no reading.
const NO_READINGS: [Column; 8] = [
    Column::U,
    Column::Nominal,
    Column::AsLeft,
    Column::Lower,
    Column::Upper,
    Column::Tolerance,
    Column::CoverageFactor,
    Column::InTolerance,
];

/// Share of the rows of a column that is not read which must state no reading: a remark may do so by chance. Common
/// practice, no source.
const SHARE: f64 = 0.2;

/// Asks about a column that names in each row what it states, of a point or not read: such rows are no checks of
/// their own.
pub(in crate::records::guess) fn about_rows_of_columns(samples: &[Sample], guess: &mut Guess) {
    let states = |name: &str| {
        let name = folded(name);
        NO_READINGS
            .iter()
            .any(|column| words(*column).contains(&name))
    };
    let stating = |sample: &Sample| -> BTreeSet<String> {
        let stating = sample.values().filter(|name| states(name));
        stating.map(String::from).collect()
    };
    let point = guess.sample(samples, Column::Point);
    let of_point = point.map(|sample| (sample, stating(sample)));
    let often = |sample: &Sample| {
        let stating = sample.values().filter(|name| states(name)).count();
        stating as f64 >= SHARE * sample.values().count() as f64
    };
    let unread = || {
        let unread = guess.not_read(samples).into_iter();
        let mut found = unread.map(|sample| (sample, stating(sample)));
        // One word may be an answer to something else.
        found.find(|(sample, names)| names.len() > 1 && often(sample))
    };
    let of_point = of_point.filter(|(_, names)| !names.is_empty());
    let Some((sample, found)) = of_point.or_else(unread) else {
        return;
    };
    let header = &sample.header;
    let becomes = match point {
        Some(_) => "each would become a history of its own",
        None => "all would be readings of one history",
    };
    let words = format!(
        "\"{header}\" seems to tell what a row states ({}), and no point: {becomes}. Give each its own column, with one row a check.",
        quoted_list(found)
    );
    let doubt = Doubt::new("rows_of_columns", words);
    guess
        .doubts
        .push(doubt.or("each row is a reading of its own", Answer::AsTaken));
}
