/*! A second date beside that of the checks: received, tested, issued. */

use super::doubt::{Answer, Doubt};
use super::draft::{Guess, header_of};
use super::headers::{folded, headed};
use super::sample::Sample;
use crate::records::cells::column::Column;
use crate::records::words::words;

/// Asks which date is that of the checks, where no word is the whole header of the one that is taken (`Date in`)
/// and another column of dates has such a word too. `is_date` tells of each column whether it holds dates.
pub(super) fn about_other_date(samples: &[Sample], is_date: &[bool], guess: &mut Guess) {
    let Some(taken) = header_of(guess, Column::Date) else {
        return;
    };
    if words(Column::Date).contains(&folded(&taken)) {
        return;
    }
    let unread = |sample: &Sample| guess.ignored.contains(&sample.header);
    let mut others = samples.iter().zip(is_date).filter(|(sample, is_date)| {
        **is_date && unread(sample) && headed(&sample.header, Column::Date)
    });
    let Some((other, _)) = others.next() else {
        return;
    };
    let words = format!(
        "\"{taken}\" is taken for the date of the checks, and \"{}\" holds dates too: which is the day of the measurement? The other is read by date = \"{}\" under columns.",
        other.header, other.header
    );
    let doubt = Doubt::new("other_date", words);
    let taken = format!("\"{taken}\" is the day of the measurement");
    guess.doubts.push(doubt.or(taken, Answer::AsTaken));
}
