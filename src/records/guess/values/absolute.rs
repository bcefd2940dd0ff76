/*! Values without their sign. */

use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::{Guess, header_of};
use crate::records::guess::sample::Sample;
use crate::records::words::plain;

/// Words of headers by which a value has lost its sign; common practice, no source.
const WORDS: [&str; 12] = [
    "abs",
    "absolute",
    "absolute value",
    "magnitude",
    "betrag",
    "absolutwert",
    "absolut",
    "valeur absolue",
    "valor absoluto",
    "valore assoluto",
    "absoluut",
    "絶対値",
];

/// Asks about errors whose header says that their sign is taken off, where none has one.
pub(crate) fn about_absolute(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let header = header_of(guess, Column::AsFound)?;
    let words = plain(&header);
    let says = WORDS.iter().any(|word| {
        let between = |c: char| !c.is_alphanumeric();
        words.match_indices(word).any(|(at, found)| {
            words[..at].chars().next_back().is_none_or(between)
                && words[at + found.len()..].chars().next().is_none_or(between)
        })
    });
    let bars = header.matches('|').count() == 2;
    let sample = samples.iter().find(|sample| sample.header == header);
    let signed = sample.is_some_and(|s| s.values().any(|v| v.starts_with(['-', '\u{2212}', '–'])));
    if !(says || bars) || signed {
        return None;
    }
    let words = format!(
        "\"{header}\" says that its values have lost their sign: a drift through 0 cannot be seen in them, and one that goes down is taken for one that goes up. Give the errors with their signs."
    );
    let doubt = Doubt::new("signs_lost", words);
    let doubt = doubt.or("the errors were never below 0", Answer::AsTaken);
    Some(doubt)
}
