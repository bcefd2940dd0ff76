/*! A column that is not read and that the readings follow: the nominal value that they are of, under a
header that no list knows. */

use crate::records::cells::column::Column;
use crate::records::cells::marks::Marks;
use crate::records::cells::number::written::written;
use crate::records::cells::unit::{self, same_unit};
use crate::records::guess::doubt::{Answer, Choice, Doubt};
use crate::records::guess::draft::{Guess, Guessed, header_of};
use crate::records::guess::sample::Sample;
use std::collections::BTreeMap;

/// Share of their range by which readings differ at the most from a column that they follow. Common
/// practice, no source.
const CLOSE: f64 = 0.05;

/// Share of the rows that must be so close.
const NEARLY_ALL: f64 = 0.8;

/// Fewest rows that show it.
const FEWEST: usize = 4;

/// Asks whether readings are values where a column of about the same numbers is not read, and no nominal
/// value is: taken for errors, they would lie far beyond any limit, or be judged by what they are of.
pub(crate) fn about_followed(samples: &[Sample], guess: &mut Guess) {
    let asked = guess.asks("nominal_not_read");
    let known = guess.reads(Column::Nominal) || asked;
    if known || guess.off.contains(&Column::Nominal) {
        return;
    }
    let Some(readings) = guess.sample(samples, Column::AsFound) else {
        return;
    };
    let marks = guess.marks();
    let in_one_unit = |other: &Sample| in_one_unit(readings, other);
    let follow = |other: &Sample| follows(readings, other, marks);
    // Limits that are values too leave nothing to subtract.
    let limits = [Column::Lower, Column::Upper].map(|column| header_of(guess, column));
    let valued = |header: &Option<String>| {
        samples
            .iter()
            .any(|s| Some(&s.header) == header.as_ref() && follow(s))
    };
    if limits.iter().all(valued) {
        return;
    }
    // Set points that the readings follow are their nominal values; what they are told apart by, too.
    let point = guess.sample(samples, Column::Point);
    let set_points =
        point.filter(|point| in_one_unit(point) && point.distinct() > 1 && follow(point));
    if let Some(set_points) = set_points {
        let is_point = |g: &&mut Guessed| g.column == Column::Point;
        let header = &set_points.header;
        if let Some(found) = guess.columns.iter_mut().find(is_point) {
            found.column = Column::Nominal;
            found.why = "the readings follow its numbers, which are subtracted".to_string();
        }
        guess.columns.sort_by_key(|g| g.column.index());
        guess.to_check.push(format!(
            "The readings follow \"{header}\": they are values at these set points, which are subtracted."
        ));
        return;
    }
    let mut followed = guess.not_read(samples);
    followed.retain(|other| in_one_unit(other) && follow(other));
    // A nominal value is the same again and again.
    followed.sort_by_key(|other| other.distinct());
    let Some(doubt) = about_values_or_errors(readings, &followed, marks) else {
        return;
    };
    let repeats = repeats_asked(guess, &followed).into_iter();
    let doubt = repeats.fold(doubt, |doubt, choice| doubt.or(choice.words, choice.answer));
    guess.doubts.push(doubt);
}

/// Asks whether readings that follow other columns are values or errors; `None` where they follow none.
fn about_values_or_errors(readings: &Sample, followed: &[&Sample], marks: Marks) -> Option<Doubt> {
    let first = followed.first()?;
    let (header, others) = (&readings.header, numbers(first, marks));
    let own = numbers(readings, marks);
    let mut pairs = own
        .iter()
        .filter_map(|(row, a)| Some((a, others.get(row)?)));
    let example = pairs.next();
    let example = example.map_or(String::new(), |(a, b)| format!(" ({a} beside {b})"));
    let words = format!(
        "\"{header}\" follows \"{}\", which is not read{example}: are the readings values, with their nominal value beside them, or errors?",
        first.header
    );
    let doubt = Doubt::new("nominal_not_read", words).or("errors", Answer::AsTaken);
    let doubt = followed.iter().fold(doubt, |doubt, other| {
        let words = format!("values; the nominal value stands in \"{}\"", other.header);
        doubt.or(words, Answer::Map(Column::Nominal, other.header.clone()))
    });
    Some(doubt)
}

/// The answer that the same columns repeat the reading, where that was to be asked of them by itself: one
/// question has all the answers.
fn repeats_asked(guess: &mut Guess, followed: &[&Sample]) -> Option<Choice> {
    let of_these = |choice: &Choice| match &choice.answer {
        Answer::Repeats(headers) => {
            let follows = |header: &String| followed.iter().any(|other| other.header == *header);
            // A nominal value beside them is another question.
            headers.iter().all(follows) && followed.len() == headers.len()
        }
        _ => false,
    };
    let asked = |doubt: &Doubt| {
        doubt
            .choices
            .iter()
            .find(|choice| of_these(choice))
            .cloned()
    };
    let (place, choice) = guess
        .doubts
        .iter()
        .enumerate()
        .find_map(|(place, doubt)| Some((place, asked(doubt)?)))?;
    guess.doubts.remove(place);
    Some(choice)
}

/// True where nearly all numbers of `other` are about those of `readings` in their rows.
pub(crate) fn follows(readings: &Sample, other: &Sample, marks: Marks) -> bool {
    let (own, beside) = (numbers(readings, marks), numbers(other, marks));
    let least = own.values().copied().fold(f64::INFINITY, f64::min);
    let range = own.values().copied().fold(f64::NEG_INFINITY, f64::max) - least;
    let both = own
        .iter()
        .filter_map(|(row, a)| Some((a, beside.get(row)?)));
    let all = both.clone().count();
    let close = both
        .filter(|(a, b)| (*a - *b).abs() <= CLOSE * range)
        .count();
    range > 0.0
        && range.is_finite()
        && all >= FEWEST
        && all as f64 >= NEARLY_ALL * own.len() as f64
        && close as f64 >= NEARLY_ALL * all as f64
}

/// True where nearly all numbers of `other` are as large as those of `readings` in their rows but for a hundredth, as
/// two readings of one value are and errors beside them are not. Common practice, no source.
pub(crate) fn about_as_large(readings: &Sample, other: &Sample, marks: Marks) -> bool {
    const ALIKE: f64 = 0.01;
    let (own, beside) = (numbers(readings, marks), numbers(other, marks));
    let both = own
        .iter()
        .filter_map(|(row, a)| Some((*a, *beside.get(row)?)));
    let close = both.filter(|(a, b)| *a != 0.0 && (a - b).abs() <= ALIKE * a.abs());
    let close = close.count();
    close >= FEWEST && close as f64 >= NEARLY_ALL * own.len() as f64
}

/// True where two headers state one unit, or not both state one.
pub(crate) fn in_one_unit(one: &Sample, other: &Sample) -> bool {
    let units = [one, other].map(|sample| unit::of_header(&sample.header));
    matches!(units, [Some(a), Some(b)] if same_unit(a, b)) || units.contains(&None)
}

/// The numbers of a column by their rows.
pub(crate) fn numbers(sample: &Sample, marks: Marks) -> BTreeMap<u32, f64> {
    let number = |(row, text)| Some((row, written(text, marks).ok()?.number.value));
    sample.by_row().filter_map(number).collect()
}
