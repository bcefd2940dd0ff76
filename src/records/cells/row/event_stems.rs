/*! Words that speak of an event in a form that no list has, by how they begin. */

use crate::records::Event;
use serde::Deserialize;
use std::collections::HashSet;
use std::sync::LazyLock;

/// The beginnings, as they were when the program was built.
const FILE: &str = include_str!("../../../../data/words/event_stems.toml");

#[derive(Debug, Default, Deserialize)]
struct Stems {
    adjusted: Vec<String>,
    repaired: Vec<String>,
    replaced: Vec<String>,
}

impl Stems {
    fn all(&self) -> [(Event, &[String]); 3] {
        [
            (Event::Adjusted, &self.adjusted),
            (Event::Repaired, &self.repaired),
            (Event::Replaced, &self.replaced),
        ]
    }
}

// A test reads the file, so that what is built has stems.
static STEMS: LazyLock<Stems> = LazyLock::new(|| toml::from_str(FILE).unwrap_or_default());

/// Letters by which most words are passed over.
const HEAD: usize = 3;

// The first letters of all stems.
static HEADS: LazyLock<HashSet<&str>> = LazyLock::new(|| {
    let all = STEMS.all().into_iter().flat_map(|(_, stems)| stems);
    all.map(|stem| head(stem)).collect()
});

/// How the beginnings begin.
pub(crate) fn event_heads() -> impl Iterator<Item = &'static str> {
    HEADS.iter().copied()
}

fn head(word: &str) -> &str {
    let end = word.char_indices().nth(HEAD).map(|(end, _)| end);
    &word[..end.unwrap_or(word.len())]
}

/// The event of which a word in lower case speaks by its beginning; none of one that says what can be done
/// ("adjustable", "justierbar").
pub(crate) fn event_by_stem(word: &str) -> Event {
    const POSSIBLE: [&str; 8] = [
        "able", "ible", "abile", "bar", "bare", "barer", "bel", "ável",
    ];
    if !HEADS.contains(head(word)) || POSSIBLE.iter().any(|end| word.ends_with(end)) {
        return Event::None;
    }
    let begins = |(_, stems): &(Event, &[String])| {
        let mut stems = stems.iter();
        stems.any(|stem| word.starts_with(stem.as_str()))
    };
    let found = STEMS.all().into_iter().find(begins);
    found.map_or(Event::None, |(event, _)| event)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stems_are_long_and_in_lower_case() {
        let stems: Stems = toml::from_str(FILE).unwrap();
        for (event, stems) in stems.all() {
            assert!(!stems.is_empty(), "{event:?}");
            for stem in stems {
                assert!(
                    stem.chars().count() >= 5 && *stem == stem.to_lowercase(),
                    "{stem}"
                );
            }
        }
    }

    #[test]
    fn a_word_speaks_of_an_event_by_its_beginning() {
        for (word, event) in [
            ("justerades", Event::Adjusted),
            ("nachjustierung", Event::Adjusted),
            ("wyregulowana", Event::Adjusted),
            ("reparerades", Event::Repaired),
            ("replacing", Event::Replaced),
            ("adjustable", Event::None),
            ("justierbar", Event::None),
            ("just", Event::None),
            ("clean", Event::None),
        ] {
            assert_eq!(event_by_stem(word), event, "{word}");
        }
    }
}
