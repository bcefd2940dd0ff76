/*! What a record's words say of a check: in or out of tolerance, and what was done.

People write both into one field ("FAIL - adjusted"). Such a field is read only where
every word of it is known and none contradicts another; any other is rejected, and what
of a failure or an adjustment it speaks of is carried beside the rejected row.
*/

use super::event_stems::{event_by_stem, event_heads};
use crate::records::words::{plain, unaccented};
use crate::records::{Event, Outcome};
use serde::Deserialize;
use std::collections::{BTreeMap, HashMap, HashSet};
use std::sync::LazyLock;

/// A failure or an event that a row speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Carried {
    /// True where the row says that the item was out of tolerance.
    pub failure: bool,
    /// What was done, or happened.
    pub event: Event,
}

impl Carried {
    /// True where the row speaks of neither.
    pub(crate) fn is_nothing(self) -> bool {
        self == Self::default()
    }

    /// "failure", "adjusted", "failure, adjusted", or nothing.
    pub(crate) fn words(self) -> String {
        let failure = self.failure.then_some("failure");
        let event = Some(self.event.word()).filter(|word| !word.is_empty());
        let words: Vec<&str> = failure.into_iter().chain(event).collect();
        words.join(", ")
    }

    /// What either of the two speaks of.
    pub(crate) fn or(self, other: Self) -> Self {
        let event = match self.event {
            Event::None => other.event,
            event => event,
        };
        Self {
            failure: self.failure || other.failure,
            event,
        }
    }
}

/// The words, as they were when the program was built.
const FILE: &str = include_str!("../../../../data/words/outcomes.toml");

#[derive(Debug, Default, Deserialize)]
struct Lists {
    outcomes: BTreeMap<String, Vec<String>>,
    events: BTreeMap<String, Vec<String>>,
}

/// What one word, or one phrase, means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Meaning {
    Outcome(Outcome),
    Event(Event),
    /// Yes or no: something as a whole cell alone.
    Answer(bool),
    /// Says nothing by itself.
    Filler,
}

// First words of the phrases that mean an event.
static EVENT_STARTS: LazyLock<HashSet<&str>> = LazyLock::new(|| {
    let events = MEANINGS.iter().filter(|(_, meaning)| match meaning {
        Meaning::Event(event) => *event != Event::None,
        _ => false,
    });
    events
        .filter_map(|(phrase, _)| phrase.split(' ').next())
        .collect()
});

// How words begin that may speak of an event, by their first two bytes: most words of most remarks begin otherwise.
static EVENT_PAIRS: LazyLock<Vec<bool>> = LazyLock::new(|| {
    let mut pairs = vec![false; 1 << 16];
    let starts = EVENT_STARTS.iter().copied();
    for start in starts.chain(event_heads()) {
        if let Some(known) = pairs.get_mut(first_pair(start)) {
            *known = true;
        }
    }
    pairs
});

/// The first two bytes of a word as one number.
fn first_pair(word: &str) -> usize {
    let byte = |at: usize| word.as_bytes().get(at).copied().map_or(0, usize::from);
    byte(0) << 8 | byte(1)
}

/// Words of the longest phrase that is looked for.
const LONGEST_PHRASE: usize = 4;

// A test reads the file, so that what is built has words.
static MEANINGS: LazyLock<HashMap<String, Meaning>> = LazyLock::new(|| {
    let lists: Lists = toml::from_str(FILE).unwrap_or_default();
    let outcomes = lists.outcomes.into_iter().map(|(name, words)| {
        let meaning = match name.as_str() {
            "yes" => Meaning::Answer(true),
            "no" => Meaning::Answer(false),
            "pass" => Meaning::Outcome(Outcome::In),
            _ => Meaning::Outcome(Outcome::Out),
        };
        (meaning, words)
    });
    let events = lists.events.into_iter().map(|(name, words)| {
        let meaning = match own_event(&name) {
            Some(event) => Meaning::Event(event),
            None => Meaning::Filler,
        };
        (meaning, words)
    });
    let all = outcomes.chain(events);
    let all = all.flat_map(|(meaning, words)| words.into_iter().map(move |word| (word, meaning)));
    let all: Vec<(String, Meaning)> = all.collect();
    let mut meanings: HashMap<String, Meaning> = all.iter().cloned().collect();
    for (word, meaning) in &all {
        for form in unaccented(word) {
            meanings.entry(form).or_insert(*meaning);
        }
    }
    meanings
});

/// An event by the word of our own tables; `None` where unknown.
pub(crate) fn own_event(word: &str) -> Option<Event> {
    const EVENTS: [Event; 5] = [
        Event::Adjusted,
        Event::Repaired,
        Event::Annealed,
        Event::Shocked,
        Event::Replaced,
    ];
    let known = EVENTS
        .into_iter()
        .find(|e| e.word().eq_ignore_ascii_case(word));
    known.or_else(|| word.eq_ignore_ascii_case("none").then_some(Event::None))
}

/// The meanings of a text, of the longest phrases that are known; `None` for a word that is in
/// none.
fn meanings(text: &str) -> Vec<Option<Meaning>> {
    let text = plain(text);
    let phrases = phrases(&text).into_iter();
    phrases.map(|(_, meaning)| meaning).collect()
}

/// The same of a text as words are compared, with the first word of each.
fn phrases(text: &str) -> Vec<(&str, Option<Meaning>)> {
    let words: Vec<&str> = text.split(' ').collect();
    let (mut at, mut found) = (0, Vec::new());
    while at < words.len() {
        let longest = LONGEST_PHRASE.min(words.len() - at);
        let phrase = (1..=longest).rev().find_map(|length| {
            let meaning = MEANINGS.get(&words[at..at + length].join(" "))?;
            Some((length, *meaning))
        });
        found.push((words[at], phrase.map(|(_, meaning)| meaning)));
        at += phrase.map_or(1, |(length, _)| length);
    }
    found
}

/// Yes or no, where that is the whole text, in one language or in two that agree: "Oui / Yes".
pub(crate) fn answer(text: &str) -> Option<bool> {
    let known = |text: &str| match MEANINGS.get(&plain(text)) {
        Some(Meaning::Answer(answer)) => Some(*answer),
        _ => None,
    };
    known(text).or_else(|| {
        // Of single letters and numbers, "N/N" and "1/1" are something else.
        let word = |text: &str| known(text).filter(|_| plain(text).chars().count() > 1);
        let (first, second) = text.split_once('/')?;
        word(first).filter(|answer| word(second) == Some(*answer))
    })
}

/// Outcome and event of a field of outcomes; `None` where a word is unknown or two contradict.
pub(crate) fn said(text: &str) -> Option<(Outcome, Event)> {
    let outcome = |answer| if answer { Outcome::In } else { Outcome::Out };
    if let Some(answer) = answer(text) {
        return Some((outcome(answer), Event::None));
    }
    let found_then_left = || found_failed_then_passed(text);
    said_beside_events(text)
        .or_else(found_then_left)
        .or_else(|| {
            // "No, adjusted": without a sign between them, "no adjustment" is something else.
            let (first, then) = text.split_once([',', ';', '(', '\u{2013}', '\u{2014}'])?;
            let done = said_event(then).filter(|event| *event != Event::None)?;
            Some((outcome(answer(first)?), done))
        })
}

/// "FAIL / PASS": a failure as found, and what was left passed. The other way round it is what a form that nobody filled
/// in offers.
fn found_failed_then_passed(text: &str) -> Option<(Outcome, Event)> {
    let mut parts = ["->", "\u{2192}", "/"].into_iter();
    let (found, left) = parts.find_map(|sign| text.split_once(sign))?;
    let (found, left) = (together(found)?, together(left)?);
    let done = match (found.1, left.1) {
        (Event::None, event) | (event, Event::None) => event,
        _ => return None,
    };
    (found.0 == Outcome::Out && left.0 == Outcome::In).then_some((Outcome::Out, done))
}

/// The event of a field of events; `None` where a word is unknown or says something else.
pub(crate) fn said_event(text: &str) -> Option<Event> {
    let (outcome, event) = together(text)?;
    (outcome == Outcome::Unknown).then_some(event)
}

/// The event that the header of a column of events asks for: `Adjusted?`, `Adjusted (Y/N)`; `None` where it asks
/// for none that is known.
pub(crate) fn asked_event(header: &str) -> Option<Event> {
    let header = plain(header);
    let words: Vec<&str> = header.split(' ').collect();
    // The answers that may be given stand behind the question.
    let answers: Vec<bool> = words.iter().rev().map_while(|word| answer(word)).collect();
    let both = answers.contains(&true) && answers.contains(&false);
    let asked = words.len() - if both { answers.len() } else { 0 };
    // Programs call a column of answers a flag: ADJ_IND.
    let flag = |word: &&&str| ["ind", "indicator", "flag"].contains(*word);
    let asked = asked - words[..asked].iter().rev().take_while(flag).count();
    said_event(&words[..asked].join(" ")).filter(|event| *event != Event::None)
}

/// Outcome and event of a field of events that tells an outcome too ("FAIL - adjusted"); `None` where
/// it tells none. Yes and no are answers to what its header asks, and no outcome.
pub(crate) fn said_beside_events(text: &str) -> Option<(Outcome, Event)> {
    together(text).filter(|(outcome, _)| *outcome != Outcome::Unknown)
}

fn together(text: &str) -> Option<(Outcome, Event)> {
    let (mut outcome, mut event) = (Outcome::Unknown, Event::None);
    for meaning in meanings(text) {
        match meaning? {
            Meaning::Outcome(new) if outcome == Outcome::Unknown || outcome == new => outcome = new,
            Meaning::Event(new) if event == Event::None || event == new => event = new,
            Meaning::Filler => {}
            Meaning::Outcome(_) | Meaning::Event(_) | Meaning::Answer(_) => return None,
        }
    }
    Some((outcome, event))
}

/// True where any word of a text speaks of an event, as [`spoken_of`] has it: quick, since most texts speak of none.
pub(crate) fn speaks_of_event(text: &str) -> bool {
    let mut words = text.split(|c: char| !c.is_alphanumeric());
    let begins = |word: &str| {
        EVENT_PAIRS.get(first_pair(word)).is_some_and(|may| *may)
            && (EVENT_STARTS.contains(word) || event_by_stem(word) != Event::None)
    };
    let starts = |word: &str| match word
        .bytes()
        .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit())
    {
        true => begins(word),
        false => begins(plain(word).as_str()),
    };
    words.any(starts) && spoken_of(text).event != Event::None
}

/// The failure and the event that any word of a text speaks of, understood or not.
pub(crate) fn spoken_of(text: &str) -> Carried {
    let mut carried = Carried::default();
    if text.is_empty() {
        return carried;
    }
    let text = plain(text);
    for (word, meaning) in phrases(&text) {
        let Some(meaning) = meaning else {
            carried = carried.or(Carried {
                failure: false,
                event: event_by_stem(word),
            });
            continue;
        };
        carried = carried.or(match meaning {
            Meaning::Outcome(outcome) => Carried {
                failure: outcome == Outcome::Out,
                event: Event::None,
            },
            Meaning::Event(event) => Carried {
                failure: false,
                event,
            },
            Meaning::Answer(_) | Meaning::Filler => Carried::default(),
        });
    }
    carried
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failure_as_found_stays_one_where_what_was_left_passed() {
        for text in [
            "FAIL/PASS",
            "Fail / Pass",
            "n. i. O. -> i. O.",
            "out \u{2192} in",
        ] {
            assert_eq!(said(text), Some((Outcome::Out, Event::None)), "{text}");
        }
        let adjusted = said("FAIL / adjusted, PASS");
        assert_eq!(adjusted, Some((Outcome::Out, Event::Adjusted)));
        assert_eq!(said("PASS/PASS"), Some((Outcome::In, Event::None)));
        // What a form offers before it is filled in, and failures that stay.
        assert_eq!(said("Pass / Fail"), None);
        assert_eq!(said("FAIL/FAIL"), Some((Outcome::Out, Event::None)));
        assert_eq!(said("P/F"), None);
    }

    #[test]
    fn a_quick_look_finds_the_events_that_a_text_speaks_of() {
        for text in [
            "adjusted",
            "Justiert!",
            "was (re)adjusted, see note",
            "FAIL - adjusted",
            "AJUSTÉ",
            "must be repaired",
            "調整済",
            "",
            "certificate no. 12 checked in room 5",
            "not read",
        ] {
            let spoken = spoken_of(text).event != Event::None;
            assert_eq!(speaks_of_event(text), spoken, "{text}");
        }
        // Each phrase that means an event is found by its first word.
        for (phrase, meaning) in MEANINGS.iter() {
            let event = matches!(meaning, Meaning::Event(event) if *event != Event::None);
            assert!(
                !event
                    || speaks_of_event(&phrase.to_uppercase())
                    || plain(&phrase.to_uppercase()) != *phrase,
                "{phrase}"
            );
        }
    }

    #[test]
    fn outcome_and_event_may_share_a_field() {
        let cases = [
            ("FAIL - adjusted", Some((Outcome::Out, Event::Adjusted))),
            (
                "Failed, then repaired",
                Some((Outcome::Out, Event::Repaired)),
            ),
            ("pass/adjusted", Some((Outcome::In, Event::Adjusted))),
            ("out of tolerance", Some((Outcome::Out, Event::None))),
            ("n.i.O.", Some((Outcome::Out, Event::None))),
            ("n. i. O. - justiert", Some((Outcome::Out, Event::Adjusted))),
            ("P", Some((Outcome::In, Event::None))),
            ("fail, as left pass", None),
            ("pass after adjustment", None),
            ("no adjustment", None),
            ("nee, afgeregeld", Some((Outcome::Out, Event::Adjusted))),
            ("yes (adjusted)", Some((Outcome::In, Event::Adjusted))),
            ("no, see remarks", None),
            ("Nein", Some((Outcome::Out, Event::None))),
            ("non conforme", Some((Outcome::Out, Event::None))),
            ("", None),
        ];
        for (text, expected) in cases {
            assert_eq!(said(text), expected, "{text}");
        }
    }

    #[test]
    fn each_word_of_the_file_has_one_meaning() {
        let lists: Lists = toml::from_str(FILE).unwrap();
        let all = || {
            lists
                .outcomes
                .values()
                .chain(lists.events.values())
                .flatten()
        };
        let distinct: std::collections::BTreeSet<&String> = all().collect();
        assert_eq!(all().count(), distinct.len());
        for word in all() {
            assert_eq!(&plain(word), word);
        }
        assert_eq!(
            said("refuse - repare"),
            Some((Outcome::Out, Event::Repaired))
        );
        assert_eq!(said("i.O."), Some((Outcome::In, Event::None)));
        assert_eq!(said_event("Justierung"), Some(Event::Adjusted));
        assert_eq!(said_event("keine"), Some(Event::None));
        assert_eq!(said_event("new battery"), None);
        let both = Some((Outcome::Out, Event::Adjusted));
        assert_eq!(said_beside_events("n.i.O. / justiert"), both);
        assert_eq!(said_beside_events("FAIL, adj."), both);
        assert_eq!(said_beside_events("no"), None);
        assert_eq!(said_beside_events("x"), None);
    }

    #[test]
    fn what_is_not_understood_still_speaks_of_a_failure() {
        assert_eq!(
            spoken_of("FAIL?? (adjusted by hand)").words(),
            "failure, adjusted"
        );
        assert!(spoken_of("checked").is_nothing());
        assert!(spoken_of("0.5").is_nothing() && spoken_of("no").is_nothing());
    }

    #[test]
    fn a_header_asks_for_an_event() {
        for header in [
            "Adjusted",
            "Adjusted?",
            "Adjusted (Y/N)",
            "Justiert ja/nein",
            "adjusted 1=yes 0=no",
        ] {
            assert_eq!(asked_event(header), Some(Event::Adjusted), "{header}");
        }
        for header in ["No adjustment", "Remarks", "Remarks (Y/N)", ""] {
            assert_eq!(asked_event(header), None, "{header}");
        }
    }
}
