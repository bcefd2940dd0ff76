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

/// Asks about points that have the names of columns: such rows are no checks of their own.
pub(in crate::records::guess) fn about_rows_of_columns(samples: &[Sample], guess: &mut Guess) {
    let Some(sample) = guess.sample(samples, Column::Point) else {
        return;
    };
    let header = &sample.header;
    let names: BTreeSet<&str> = sample.values().collect();
    let states = |name: &&str| {
        let name = folded(name);
        NO_READINGS
            .iter()
            .any(|column| words(*column).contains(&name))
    };
    let found: Vec<&str> = names.into_iter().filter(states).collect();
    if found.is_empty() {
        return;
    }
    let words = format!(
        "\"{header}\" seems to tell what a row states ({}), and no point: each would become a history of its own. Give each its own column, with one row a check.",
        quoted_list(found)
    );
    let doubt = Doubt::new("rows_of_columns", words);
    guess
        .doubts
        .push(doubt.or("they are points of the item", Answer::AsTaken));
}
