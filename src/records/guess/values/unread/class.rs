/*! Accuracy classes that nothing reads, where no limits are: what they come to depends on the range. */

use crate::records::cells::column::Column;
use crate::records::cells::number::written::written;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::headers::folded;
use crate::records::guess::sample::Sample;
use crate::records::words::limit_words;

/// The largest class of gauges; those of pressure gauges are 0.1 to 4 (EN 837-1, from memory).
const LARGEST: f64 = 6.0;

/// Asks about a column of accuracy classes where no limits are read: it mostly tells them as a per cent of the range, of
/// which only a person knows where it stands.
pub(crate) fn about_unread_class(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    const LIMITS: [Column; 3] = [Column::Tolerance, Column::Lower, Column::Upper];
    let read = |column: &Column| guess.reads(*column);
    if LIMITS.iter().any(read) || guess.asks("limits_not_read") {
        return None;
    }
    let marks = guess.marks();
    let class = |text: &str| {
        let number = written(text, marks).map(|cell| cell.number.value);
        number.is_ok_and(|number| number > 0.0 && number <= LARGEST)
    };
    let unread = guess.not_read(samples);
    let named = |header: &str| limit_words("accuracy_class").contains(&folded(header));
    let mut found = unread.iter().filter(|sample| named(&sample.header));
    let found = found.find_map(|sample| {
        let first = sample.values().next()?;
        sample
            .mostly(class)
            .then(|| (sample.header.clone(), first.to_string()))
    });
    let (header, text) = found?;
    let words = format!(
        "\"{header}\" ({text}) is not read, and no limits are: an accuracy class of gauges is mostly their limit in per cent of the range. Write it so into a column of its own (±{text} % FS, with the column range beside it), or state the limits in a register."
    );
    let doubt = Doubt::new("class_not_read", words);
    Some(doubt.or(
        "it tells no limits, or a register states them",
        Answer::AsTaken,
    ))
}
