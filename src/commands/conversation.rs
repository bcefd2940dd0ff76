/*! Questions on a terminal, and their answers line by line. */

use super::output::{hand_over, say};
use crate::pipeline::start::Person;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::report::text::harmless;
use std::io::BufRead;

/// A person at a terminal; nobody where nothing is to be asked.
pub(super) struct Conversation<R> {
    answers: R,
    asks: bool,
    asked: usize,
}

impl<R: BufRead> Conversation<R> {
    /// Answers are read from `answers` where `asks` says so.
    pub fn new(answers: R, asks: bool) -> Self {
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
            let mut line = String::new();
            match self.answers.read_line(&mut line) {
                Ok(1..) => {}
                _ => return None,
            }
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
            say(&format!("\"{line}\" is none of them."));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::guess::doubt::Typed;

    fn answer(typed: &str) -> Option<Answer> {
        let doubt = Doubt {
            typed: Some(Typed::Factor),
            ..Doubt::new("k", "Which k?")
                .or("expanded", Answer::Factor(2.0))
                .or("standard", Answer::Factor(1.0))
        };
        let mut person = Conversation::new(typed.as_bytes(), true);
        person.ask(&doubt).map(|(answer, _)| answer)
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
}
