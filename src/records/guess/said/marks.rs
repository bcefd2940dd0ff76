/*! Columns of marks: a cross in some rows, and nothing in the others. */

use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::sample::Sample;

/// Marks that stand for a yes; common practice, no source.
const MARKS: [&str; 9] = ["x", "X", "✓", "✔", "✗", "✘", "●", "•", "×"];

/// Asks about a column that is not read and marks some rows, where no column tells of events: the mark may say that
/// an item was adjusted.
pub(crate) fn about_marks(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    if guess.reads(Column::Event) || guess.is_wide(Column::Event) {
        return None;
    }
    let rows = guess.sample(samples, Column::Date);
    let rows = rows.map_or(0, |dates| dates.values().count());
    let marked = |sample: &&Sample| {
        let count = sample.values().count();
        count > 0 && count < rows && sample.values().all(|text| MARKS.contains(&text))
    };
    let sample = guess.not_read(samples).into_iter().find(marked)?;
    let (header, count) = (sample.header.clone(), sample.values().count());
    let words = format!(
        "\"{header}\" is not read and marks {count} of {rows} rows (\"{}\"): an adjustment changes what the values after it mean. It is read by event = \"{header}\" under columns, and its mark by events = {{ \"{}\" = \"adjusted\" }}.",
        sample.values().next().unwrap_or(""),
        sample.values().next().unwrap_or(""),
    );
    let doubt = Doubt::new("marks_not_read", words);
    let doubt = doubt.or("it marks no event", Answer::AsTaken);
    Some(doubt)
}
