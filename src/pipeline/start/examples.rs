/*! Examples of how rows read. */

use crate::records::cells::number::Number;
use crate::records::date::iso;
use crate::records::guess::draft::Guess;
use crate::records::{Event, History, LoadError, Loaded, Outcome};
use std::collections::BTreeSet;

/// Examples of how a row reads.
const EXAMPLES: usize = 3;

/// How the first, the middle and the last row read.
pub(super) fn examples(loaded: &Loaded, guess: &Guess) -> Vec<String> {
    let turned = guess.to_state.get("as_found_is") == Some("\"correction\"");
    let histories = &loaded.histories;
    let all = histories.columns.date.len();
    let places: BTreeSet<usize> = match all {
        0 => BTreeSet::new(),
        all => (0..EXAMPLES)
            .map(|k| k * (all - 1) / (EXAMPLES - 1))
            .collect(),
    };
    let example_at = |place: usize| {
        let index = histories.offsets.partition_point(|offset| *offset <= place) - 1;
        example(
            &histories.get(index),
            place - histories.offsets[index],
            turned,
            loaded,
        )
    };
    places.into_iter().map(example_at).collect()
}

/// The same of a reading that may have failed: then why it did.
pub(super) fn examples_of(read: &Result<Loaded, LoadError>, guess: &Guess) -> Vec<String> {
    match read {
        Ok(loaded) => examples(loaded, guess),
        Err(why) => vec![why.what.clone()],
    }
}

/// "row 7: G-1, 2024-03-05: 100.03 - 100 = +0.03 V".
fn example(history: &History<'_>, i: usize, turned: bool, loaded: &Loaded) -> String {
    let (file, row) = history.source[i];
    let table = match (loaded.tables.len(), loaded.tables.get(file as usize)) {
        (2.., Some(table)) => format!("{table}, "),
        _ => String::new(),
    };
    let (error, nominal) = (history.as_found[i], history.nominal[i]);
    let unit = &history.item.unit;
    let sum = |a: f64, b: f64| match (Number::from_double(a), Number::from_double(b)) {
        (Some(a), Some(b)) => a.minus(b.negated()),
        _ => a + b,
    };
    let reading = match (error.is_nan(), nominal != 0.0, turned) {
        (true, ..) => match history.outcome[i] {
            Outcome::Out => "out of tolerance".to_string(),
            _ => "in tolerance".to_string(),
        },
        (_, true, _) => format!("{} - {nominal} = {error:+} {unit}", sum(error, nominal)),
        (_, _, true) => format!("correction {:+}, so error {error:+} {unit}", 0.0 - error),
        _ => format!("error {error:+} {unit}"),
    };
    let day = iso(history.date[i].floor());
    let words = format!(
        "{table}row {row}: {}, {day}: {}",
        history.item.name(),
        reading.trim_end()
    );
    match history.event[i] {
        Event::None => words,
        event => format!("{words}, {}", event.word()),
    }
}
