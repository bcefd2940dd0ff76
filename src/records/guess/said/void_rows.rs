/*! Columns that say of some rows that they do not count: void, cancelled, superseded. */

use crate::records::cells::column::Column;
use crate::records::cells::void_rows::{Asks, MAY_SAY_SO, VOID_ROWS};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::sample::Sample;
use crate::settings::toml_text::{listed, quoted};
use crate::words::{agreeing, count, quoted_list};
use std::collections::BTreeSet;

/// Words of a column that are shown.
const SHOWN: usize = 3;

/// A column with rows that do not count.
struct Found<'s> {
    header: &'s str,
    /// Its cells that say so.
    texts: Vec<&'s str>,
    /// The words by which they do.
    words: BTreeSet<String>,
    rows: usize,
}

/// Asks about a column that says of some rows, not of all, that they do not count.
pub(crate) fn about_void_rows(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let all = guess.sample(samples, Column::Date);
    let all = all.map_or(0, |dates| dates.values().count());
    let read = MAY_SAY_SO.into_iter();
    let read = read.filter_map(|column| guess.sample(samples, column));
    let mut columns = guess.not_read(samples).into_iter().chain(read);
    let found = columns.find_map(|sample| found(sample).filter(|found| found.rows < all))?;
    let (rows, words) = (found.rows, Vec::from_iter(found.words));
    let told = format!(
        "\"{}\" says of {} that {} not count ({}), and {} taken like the others: void_rows_by = {} with void_rows_are = {} leaves {} out.",
        found.header,
        count(rows, "row"),
        agreeing(rows, "it does", "they do"),
        quoted_list(found.texts.iter().take(SHOWN)),
        agreeing(rows, "its reading is", "their readings are"),
        quoted(found.header),
        listed(&words),
        agreeing(rows, "it", "them"),
    );
    let answer = Answer::VoidRows(found.header.to_string(), words);
    let doubt = Doubt::new(VOID_ROWS, told)
        .or("their readings count all the same", Answer::AsTaken)
        .or(
            "such rows are left out, each with that for a reason",
            answer,
        );
    Some(doubt)
}

/// The rows of a column that do not count; `None` where it says so of none.
fn found(sample: &Sample) -> Option<Found<'_>> {
    let asks = Asks::of(&sample.header);
    let mut found = Found {
        header: &sample.header,
        texts: Vec::new(),
        words: BTreeSet::new(),
        rows: 0,
    };
    for (text, count) in sample.counted() {
        if let Some(word) = asks.void_word(text) {
            found.texts.push(text);
            found.words.insert(word);
            found.rows += count;
        }
    }
    (found.rows > 0).then_some(found)
}
