/*! Columns that are not read and tell apart the rows of one item and day: functions, ranges, positions, set
points. Mixed, their points would be one history. */

use super::numbers_apart::{Apart, nominal_set_points, numbers_apart};
use super::same_days::{ONE_DAY, SameDays};
use crate::records::cells::column::Column;
use crate::records::cells::unit;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::{Guess, header_of};
use crate::records::guess::headers::names_points;
use crate::records::guess::sample::Sample;
use std::collections::{BTreeMap, BTreeSet};

/// Most words that tell points apart; a column with more has remarks or numbers of its own.
const MOST_WORDS: usize = 40;

/// Asks whether a column that is not read tells points apart, where an item has several rows a day and it
/// has another word in each, or numbers that come back on other days.
pub(crate) fn about_told_apart(samples: &[Sample], guess: &mut Guess) {
    // Rows as found and as left are asked about as such.
    if guess.asks("left_in_rows") {
        return;
    }
    if let Some(days) = SameDays::of(samples, guess, &[Column::Point]) {
        guess.set_points = nominal_set_points(samples, guess, &days);
    }
    let told = [Column::Point, Column::Nominal];
    let days = SameDays::of(samples, guess, &told);
    let Some(days) = days.or_else(|| SameDays::of_few_days(samples, guess, &told)) else {
        return;
    };
    let worded = words_apart(samples, guess, &days);
    if let Some((header, answer)) = &worded
        && days.each == ONE_DAY
        && names_points(header)
    {
        guess.take(answer);
        guess.to_check.push(format!(
            "\"{header}\" has another word in each of the several rows of a day, and its header is one of points: {}.",
            answer.stated()
        ));
        return;
    }
    let worded = worded.map(|(header, answer)| {
        let words = examples(samples, &header);
        let words = format!(
            "\"{header}\" is not read and has another word in each of the several rows of {} ({words}): points that it tells apart ({}), or repeats of one point?",
            days.each,
            answer.stated()
        );
        asked(words, answer)
    });
    let doubt = worded.or_else(|| {
        let stated = [Column::Point, Column::Nominal].map(|column| header_of(guess, column));
        let stated: Vec<String> = stated.into_iter().flatten().collect();
        let found = numbers_apart(samples, guess, &days)?;
        // Beside a nominal value or a point, numbers are what each reading was of or with; but amounts that
        // tell all rows of a day apart and come back tell points (3 dB at 1 GHz and at 6 GHz).
        let amounts = found.tells_each && unit::of_header(found.header).is_some();
        let of_one_day = days.each == ONE_DAY;
        let alone = stated.is_empty() && (of_one_day || found.tells_each);
        (alone || amounts && of_one_day).then(|| numbered(&found, stated, days.each))
    });
    guess.doubts.extend(doubt);
}

/// The header of a column of words with another in each of the rows of a day, and the answer that it tells points apart.
fn words_apart(samples: &[Sample], guess: &Guess, days: &SameDays<'_>) -> Option<(String, Answer)> {
    let tells = |sample: &&Sample| {
        let words = sample.by_row().collect::<BTreeMap<u32, &str>>();
        days.are_told_apart(|row| words.get(&row))
    };
    let worded = |sample: &&Sample| {
        let word = |text: &str| text.contains(char::is_alphabetic);
        let distinct = sample.distinct();
        distinct <= MOST_WORDS && 2 * distinct <= sample.values().count() && sample.mostly(word)
    };
    let found = guess
        .not_read(samples)
        .into_iter()
        .filter(worded)
        .find(tells)?;
    let header = found.header.clone();
    let point = [Column::Point, Column::Nominal].map(|column| header_of(guess, column));
    let headers = std::iter::once(header.clone()).chain(point.into_iter().flatten());
    let answer = Answer::Points(headers.collect(), Vec::new());
    Some((header, answer))
}

/// The first words of a column, in their order.
fn examples(samples: &[Sample], header: &str) -> String {
    let columns = samples.iter().filter(|sample| sample.header == header);
    let words: BTreeSet<&str> = columns.flat_map(Sample::values).collect();
    let words: Vec<&str> = words.into_iter().take(3).collect();
    words.join(", ")
}

/// A doubt about a column of numbers that tells the rows of a day apart.
fn numbered(found: &Apart<'_>, stated: Vec<String>, each: &str) -> Doubt {
    let header = found.header;
    let headers = std::iter::once(header.to_string()).chain(stated);
    let shown: Vec<String> = found.example.iter().map(f64::to_string).collect();
    let answer = Answer::Points(headers.collect(), found.set_points.clone());
    let mut words = format!(
        "\"{header}\" is not read and has several numbers in the rows of {each}, which come back on others ({}): points that it tells apart ({}), or repeats of one point?",
        shown.join(", "),
        answer.stated()
    );
    if found.is_open {
        words += " What the reference read differs from day to day: state the set points that it is taken for in set_points.";
    }
    asked(words, answer)
}

fn asked(words: String, answer: Answer) -> Doubt {
    Doubt::new("points", words)
        .settled_by("point_from")
        .or("repeats of one point", Answer::AsTaken)
        .or("points that it tells apart", answer)
}
