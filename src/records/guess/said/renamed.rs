/*! Names that tell an earlier name of their item: `TH-12 (formerly TH-2)`. */

use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::sample::Sample;
use crate::records::words::{former_words, plain};
use std::collections::{BTreeMap, BTreeSet};

/// Asks about a name that tells the earlier one of its item, of which there are checks too: they would be two histories,
/// neither of which is whole.
pub(crate) fn about_renamed(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let items = guess.sample(samples, Column::Instrument)?;
    let names: BTreeSet<&str> = items.values().collect();
    let by_words: BTreeMap<String, &str> =
        names.into_iter().map(|name| (plain(name), name)).collect();
    let earlier = |words: &str| {
        let behind = former_words().iter().find_map(|word| {
            let (before, behind) = words.split_once(&format!(" {word} "))?;
            (!before.is_empty()).then_some(behind)
        })?;
        by_words.get(behind).copied()
    };
    let mut found = by_words
        .iter()
        .filter_map(|(words, name)| Some((*name, earlier(words)?)));
    let (name, other) = found.next()?;
    let more = match found.count() {
        0 => String::new(),
        more => format!(" So do {more} more."),
    };
    let words = format!(
        "\"{name}\" tells the earlier name of its item, and \"{other}\" has checks too: they would be two histories.{more} Write one name in all of its rows, or list it in a register with its earlier name (columns instrument and formerly)."
    );
    let doubt = Doubt::new("renamed", words).or("they are two items", Answer::AsTaken);
    Some(doubt)
}
