/*! Sheets of a month with a column for each of its days: `1`, `2`, … `31`. */

use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::sample::Sample;

/// Days of the shortest month, and of the longest.
const DAYS: std::ops::RangeInclusive<usize> = 28..=31;

/// Asks about headers that count the days of a month, where no column holds dates: they are no repeats of one reading.
pub(crate) fn about_days_of_month(samples: &[Sample], guess: &mut Guess) {
    let numbers = samples
        .iter()
        .filter_map(|sample| sample.header.trim().parse().ok());
    let numbers: Vec<usize> = numbers.collect();
    let last = numbers.len();
    if guess.reads(Column::Date) || !DAYS.contains(&last) || !numbers.into_iter().eq(1..=last) {
        return;
    }
    guess.doubts.retain(|doubt| doubt.name != "more_readings");
    guess.let_go(Column::AsFound);
    let words = format!(
        "The headers 1 to {last} seem to be the days of a month, each with a check of its own, and state neither month nor year: write whole dates in their place, such as 2025-03-01 for 1, with a table for each month, or write one row a check with its date."
    );
    let doubt = Doubt::new("days_of_month", words);
    guess
        .doubts
        .push(doubt.or("they are something else", Answer::AsTaken));
}
