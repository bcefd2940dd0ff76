/*! Numbers that are not read and may be readings, or what was left. */

pub(crate) mod class;
pub(crate) mod limits;
pub(crate) mod outcomes;

use crate::records::cells::column::Column;
use crate::records::cells::digits::has_digit;
use crate::records::guess::apart::follows::{about_as_large, follows, in_one_unit};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::{Guess, header_of};
use crate::records::guess::headers::{approached, counted, headed, is_alone, lettered};
use crate::records::guess::sample::{Sample, is_number};
use crate::records::words::speaks_of;
use crate::words::quoted_list;

/// Asks about a column of numbers that is not read and speaks of what was left, where none is read
/// as that: an adjustment would be lost with it.
pub(crate) fn about_unread_left(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let read = |column| guess.reads(column) || guess.is_wide(column);
    if read(Column::AsLeft) || !read(Column::AsFound) {
        return None;
    }
    let marks = guess.marks();
    let left = |s: &&Sample| speaks_of(&s.header, "left") && s.holds_numbers(marks);
    let sample = guess.not_read(samples).into_iter().find(left)?;
    let header = sample.header.clone();
    let words = format!(
        "\"{header}\" is not read and speaks of what was left. It is read by as_left = \"{header}\" under columns; without it nobody knows where the values after an adjustment begin."
    );
    let doubt = Doubt::new("left_not_read", words)
        .or("it is what was left", Answer::Map(Column::AsLeft, header))
        .or("it is something else", Answer::AsTaken);
    Some(doubt)
}

/// Asks about columns that only count on from the one that is read, or are approached on another way: Error 1,
/// Error 2; Reading up, Reading down.
pub(crate) fn about_more_readings(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let header = header_of(guess, Column::AsFound)?;
    let stem = |header: &str| {
        let counted = counted(header).or_else(|| lettered(header));
        counted.or_else(|| approached(header))
    };
    let word = stem(&header).filter(|word| !word.is_empty());
    let marks = guess.marks();
    // Where no header says which the readings are, or another says the same, one that follows them may be as good:
    // right and left, least and largest.
    let taken = guess.sample(samples, Column::AsFound);
    let twin = |s: &Sample| {
        // A mean is that of what stands beside it.
        let said = headed(&s.header, Column::AsFound) && !is_alone(&header, Column::AsFound);
        let by_numbers = |taken: &Sample| {
            let alike = guess.by_content() && follows(taken, s, marks);
            alike || said && about_as_large(taken, s, marks)
        };
        taken.is_some_and(|taken| in_one_unit(taken, s) && by_numbers(taken))
    };
    // Headers that are nothing but numbers count too: 1, 2, 3.
    let counts = |header: &str| header.trim().parse::<u32>().is_ok();
    let same = |s: &&Sample| {
        let named = word.is_some() && stem(&s.header) == word;
        s.holds_numbers(marks) && (named || twin(s) || counts(&header) && counts(&s.header))
    };
    let others = guess.not_read(samples).into_iter().filter(same);
    let others: Vec<String> = others.map(|s| s.header.clone()).collect();
    if others.is_empty() {
        return None;
    }
    let listed = quoted_list(&others);
    let words = format!(
        "\"{header}\" is read, and {listed} beside it not: are they repeats of one reading (repeated_in = [{listed}] takes the mean of all), or points (then state them under wide)?"
    );
    let doubt = Doubt::new("more_readings", words)
        .settled_by("repeated_in")
        .or("the first alone counts", Answer::AsTaken)
        .or(
            "repeats: their mean is what was found",
            Answer::Repeats(others),
        );
    Some(doubt)
}

/// One number in so many cells makes a column whose header says so one of values.
const SOME: usize = 4;

/// Asks about columns of numbers that are not read where no value is: outcomes alone would be left.
pub(crate) fn about_unread_numbers(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    if guess.reads(Column::AsFound) || !guess.reads(Column::InTolerance) {
        return None;
    }
    let marks = guess.marks();
    // Where the header says that it is what was found, fewer numbers among its cells are enough.
    let named = |s: &Sample| {
        let is = |v: &&str| has_digit(v) && is_number(v, marks);
        let count = s.values().filter(is).count();
        headed(&s.header, Column::AsFound) && SOME * count >= s.values().count()
    };
    let numbers = |s: &&Sample| s.holds_numbers(marks) || s.values().next().is_some() && named(s);
    // What was left alone tells nothing of what was found.
    let left = header_of(guess, Column::AsLeft);
    let unread =
        |s: &&Sample| guess.ignored.contains(&s.header) || left.as_ref() == Some(&s.header);
    let unread = samples.iter().filter(unread);
    let unread: Vec<String> = unread.filter(numbers).map(|s| s.header.clone()).collect();
    if unread.is_empty() {
        return None;
    }
    let words = format!(
        "Only outcomes are read, no value, and these columns hold numbers: {}. State as_found under columns, or points and as_found under wide where each column is a point.",
        unread.join(", ")
    );
    let doubt = unread.iter().fold(
        Doubt::new("numbers_not_read", words).or("they are no values of checks", Answer::AsTaken),
        |doubt, header| {
            let words = format!("\"{header}\" is what was found");
            doubt.or(words, Answer::Map(Column::AsFound, header.clone()))
        },
    );
    Some(doubt)
}
