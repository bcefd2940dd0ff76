/*! Dates that are not taken for those of the checks: a second one beside them (received, tested, issued), those of
further checks in the same row, and what is headed as a date and reads as none. */

use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::{Guess, header_of};
use crate::records::guess::headers::{counted, folded, headed};
use crate::records::guess::sample::Sample;
use crate::records::words::words;

/// Asks which date is that of the checks, where no word is the whole header of the one that is taken (`Date in`)
/// and another column of dates has such a word too. `is_date` tells of each column whether it holds dates.
pub(crate) fn about_other_date(samples: &[Sample], is_date: &[bool], guess: &mut Guess) {
    let Some(taken) = header_of(guess, Column::Date) else {
        return;
    };
    if words(Column::Date).contains(&folded(&taken)) {
        return;
    }
    let unread = |sample: &Sample| guess.ignored.contains(&sample.header);
    let stem = counted(&taken).filter(|stem| !stem.is_empty());
    let mut dates = samples.iter().zip(is_date).filter(|(_, is_date)| **is_date);
    let counts_on = |sample: &Sample| unread(sample) && counted(&sample.header) == stem;
    if let Some((next, _)) = dates.find(|(sample, _)| stem.is_some() && counts_on(sample)) {
        let words = format!(
            "\"{taken}\" and \"{}\" date several checks of one row, of which the first alone is read: write one row a check.",
            next.header
        );
        // Readings of other days are no repeats of the first.
        guess.doubts.retain(|doubt| doubt.name != "more_readings");
        let doubt = Doubt::new("checks_in_columns", words);
        let doubt = doubt.or("the first of each row alone counts", Answer::AsTaken);
        guess.doubts.push(doubt);
        return;
    }
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

/// Says of a column that is headed as a date, where no other is one, that its cells read as none.
pub(crate) fn about_unread_dates(samples: &[Sample], guess: &mut Guess) {
    if guess.reads(Column::Date) {
        return;
    }
    let named = |sample: &&Sample| headed(&sample.header, Column::Date);
    let Some((sample, cell)) = samples
        .iter()
        .filter(named)
        .find_map(|sample| Some((sample, sample.values().next()?)))
    else {
        return;
    };
    let words = format!(
        "\"{}\" is headed as a date, and its cells (\"{cell}\") read as none: write the one day of each measurement, such as 2024-03-05.",
        sample.header
    );
    guess.to_check.push(words);
}
