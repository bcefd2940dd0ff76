/*! What a record's words say of a check: in or out of tolerance, and what was done.

People write both into one field ("FAIL - adjusted"). Such a field is read only where
every word of it is known and none contradicts another; any other is rejected, and what
of a failure or an adjustment it speaks of is carried beside the rejected row.
*/

use crate::records::{Event, Outcome};

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
    pub fn is_nothing(self) -> bool {
        self == Self::default()
    }

    /// "failure", "adjusted", "failure, adjusted", or nothing.
    pub fn words(self) -> String {
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

/// What one word means.
enum Word {
    Outcome(Outcome),
    Event(Event),
    /// Says nothing by itself.
    Filler,
    Unknown,
}

/// The usual words; common practice, no source.
fn meaning(word: &str) -> Word {
    match word.to_lowercase().as_str() {
        "pass" | "passed" | "passes" | "in" | "ok" | "bestanden" | "conforme" => {
            Word::Outcome(Outcome::In)
        }
        "fail" | "failed" | "fails" | "failure" | "out" | "oot" | "nok" => {
            Word::Outcome(Outcome::Out)
        }
        "adjusted" | "adjustment" | "justiert" | "justage" | "ajusté" => {
            Word::Event(Event::Adjusted)
        }
        "repaired" | "repair" | "repariert" | "réparé" => Word::Event(Event::Repaired),
        "annealed" => Word::Event(Event::Annealed),
        "shocked" => Word::Event(Event::Shocked),
        "replaced" | "ersetzt" | "remplacé" => Word::Event(Event::Replaced),
        "of" | "tolerance" | "tol" | "and" | "then" | "was" | "und" | "et" => Word::Filler,
        _ => Word::Unknown,
    }
}

fn words(text: &str) -> impl Iterator<Item = Word> {
    let words = text.split(|c: char| !c.is_alphanumeric());
    words.filter(|word| !word.is_empty()).map(meaning)
}

/// Phrases that are no sum of their words.
fn phrase(text: &str) -> Option<Outcome> {
    match text.trim().to_lowercase().as_str() {
        "i.o." | "i. o." | "io" | "ja" | "oui" => Some(Outcome::In),
        "n.i.o." | "n. i. o." | "nio" | "nein" | "non" | "nicht bestanden" | "non conforme"
        | "not ok" | "not in tolerance" => Some(Outcome::Out),
        _ => None,
    }
}

/// Outcome and event of a field of outcomes; `None` where a word is unknown or two contradict.
pub(crate) fn said(text: &str) -> Option<(Outcome, Event)> {
    if let Some(outcome) = phrase(text) {
        return Some((outcome, Event::None));
    }
    let (mut outcome, mut event) = (Outcome::Unknown, Event::None);
    for word in words(text) {
        match word {
            Word::Outcome(new) if outcome == Outcome::Unknown || outcome == new => outcome = new,
            Word::Event(new) if event == Event::None || event == new => event = new,
            Word::Filler => {}
            Word::Outcome(_) | Word::Event(_) | Word::Unknown => return None,
        }
    }
    (outcome != Outcome::Unknown).then_some((outcome, event))
}

/// The failure and the event that any word of a text speaks of, understood or not.
pub(crate) fn spoken_of(text: &str) -> Carried {
    let mut carried = Carried {
        failure: phrase(text) == Some(Outcome::Out),
        event: Event::None,
    };
    for word in words(text) {
        carried = carried.or(match word {
            Word::Outcome(outcome) => Carried {
                failure: outcome == Outcome::Out,
                event: Event::None,
            },
            Word::Event(event) => Carried {
                failure: false,
                event,
            },
            Word::Filler | Word::Unknown => Carried::default(),
        });
    }
    carried
}

#[cfg(test)]
mod tests {
    use super::*;

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
            ("fail, as left pass", None),
            ("pass after adjustment", None),
            ("no adjustment", None),
            ("", None),
        ];
        for (text, expected) in cases {
            assert_eq!(said(text), expected, "{text}");
        }
    }

    #[test]
    fn what_is_not_understood_still_speaks_of_a_failure() {
        assert_eq!(
            spoken_of("FAIL?? (adjusted by hand)").words(),
            "failure, adjusted"
        );
        assert!(spoken_of("checked").is_nothing());
    }
}
