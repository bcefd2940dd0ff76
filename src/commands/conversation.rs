/*! Questions on a terminal, and their answers line by line. */

use super::output::{hand_over, say};
use crate::pipeline::start::Person;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::report::text::harmless;
use std::io::BufRead;

/// Characters of an answer that are shown again, at the most.
const LONGEST_SHOWN: usize = 60;

/// A person at a terminal; nobody where nothing is to be asked.
pub(super) struct Conversation<R> {
    answers: R,
    asks: bool,
    asked: usize,
}

impl<R: BufRead> Conversation<R> {
    /// Answers are read from `answers` where `asks` says so.
    pub(crate) fn new(answers: R, asks: bool) -> Self {
        Self {
            answers,
            asks,
            asked: 0,
        }
    }
}

impl<R: BufRead> Person for Conversation<R> {
    fn tell(&mut self, text: &str) {
        if !text.trim().is_empty() {
            say(text.trim_end());
        }
    }

    fn ask(&mut self, doubt: &Doubt) -> Option<(Answer, String)> {
        if !self.asks || doubt.choices.is_empty() {
            return None;
        }
        self.asked += 1;
        say(&format!("\nQuestion {}. {}", self.asked, doubt.words));
        // Letters, since a number may be an answer itself.
        for (letter, choice) in ('a'..='z').zip(&doubt.choices) {
            say(&format!("  {letter}  {}", choice.words));
        }
        let typed = doubt
            .typed
            .map_or(String::new(), |typed| format!(", {}", typed.words()));
        loop {
            hand_over(&harmless(&format!(
                "A letter{typed}; or Enter to leave it open in the file:"
            )));
            // Bytes, since a terminal may send letters in another encoding than UTF-8.
            let mut line = Vec::new();
            if !matches!(self.answers.read_until(b'\n', &mut line), Ok(1..)) {
                self.asks = false;
                say(
                    "\nThe answers have ended: this and all else that would be asked stays open in the file.",
                );
                return None;
            }
            let line = String::from_utf8_lossy(&line);
            let line = line.trim();
            if line.is_empty() {
                return None;
            }
            let mut lettered = ('a'..='z').zip(&doubt.choices);
            let chosen =
                lettered.find(|(letter, _)| line.eq_ignore_ascii_case(&letter.to_string()));
            if let Some((_, choice)) = chosen {
                return Some((choice.answer.clone(), choice.words.clone()));
            }
            if let Some(answer) = doubt.typed.and_then(|typed| typed.read(line)) {
                return Some((answer, format!("{line}, as answered")));
            }
            let shown: String = line.chars().take(LONGEST_SHOWN).collect();
            say(&format!("\"{shown}\" is none of them."));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::guess::doubt::Typed;

    fn doubt() -> Doubt {
        Doubt {
            typed: Some(Typed::Factor),
            ..Doubt::new("k", "Which k?")
                .or("expanded", Answer::Factor(2.0))
                .or("standard", Answer::Factor(1.0))
        }
    }

    fn answer(typed: &str) -> Option<Answer> {
        let mut person = Conversation::new(typed.as_bytes(), true);
        person.ask(&doubt()).map(|(answer, _)| answer)
    }

    #[test]
    fn letters_that_are_not_utf_8_are_none_of_the_answers_and_the_next_line_counts() {
        let mut person = Conversation::new(&b"\xe4\xff\nB\n"[..], true);
        let answer = person.ask(&doubt()).map(|(answer, _)| answer);
        assert_eq!(answer, Some(Answer::Factor(1.0)));
    }

    #[test]
    fn after_the_end_of_the_answers_nothing_more_is_asked() {
        let mut person = Conversation::new(&b"a\n"[..], true);
        assert!(person.ask(&doubt()).is_some());
        assert!(person.ask(&doubt()).is_none());
        assert!(!person.asks);
    }

    #[test]
    fn a_letter_chooses_a_number_is_itself_and_nothing_leaves_it_open() {
        assert_eq!(answer("b\n"), Some(Answer::Factor(1.0)));
        assert_eq!(answer("2\n"), Some(Answer::Factor(2.0)));
        assert_eq!(answer("x\n2,3\n"), Some(Answer::Factor(2.3)));
        assert_eq!(answer("\n"), None);
        assert_eq!(answer(""), None);
        assert_eq!(answer("-1\nzz"), None);
    }

    #[test]
    fn a_tolerance_is_typed_with_its_unit_and_never_a_thousandfold() {
        let doubt = Doubt {
            typed: Some(Typed::Tolerance),
            ..Doubt::new("tolerance", "Which?").or("none", Answer::AsTaken)
        };
        let answer = |typed: &str| {
            let mut person = Conversation::new(typed.as_bytes(), true);
            person.ask(&doubt).map(|(answer, _)| answer)
        };
        let tolerance = |text: &str| Some(Answer::Tolerance(text.into()));
        assert_eq!(answer("±0,1 bar\n"), tolerance("±0.1 bar"));
        assert_eq!(answer("-0.1 / +0.2 bar\n"), tolerance("-0.1 / +0.2 bar"));
        assert_eq!(answer("about five\n±5 mK\n"), tolerance("±5 mK"));
        assert_eq!(answer("±1,000 mK\n"), None);
        assert_eq!(answer("a\n"), Some(Answer::AsTaken));
    }
}
