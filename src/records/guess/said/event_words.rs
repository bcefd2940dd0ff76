/*! Texts of a laboratory's own that speak of an event in words that no list knows ("justiert auf 0,1"). Each is drafted
with the event of which it speaks, and shown: whether that was done ("muss justiert werden") only a person can tell. */

use crate::records::Event;
use crate::records::cells::field;
use crate::records::cells::row::said::{said_beside_events, spoken_of};
use crate::settings::toml_text::quoted;
use crate::words::and_more;
use std::collections::BTreeMap;

/// Texts with the event of which each speaks, in their order.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct EventWords(BTreeMap<String, Event>);

impl EventWords {
    /// Texts that a question lists by name.
    const LISTED: usize = 6;

    /// Those of some texts that no list knows and that speak of an event.
    pub(crate) fn of<'a>(texts: impl IntoIterator<Item = &'a str>) -> Self {
        let unread = texts
            .into_iter()
            .filter(|text| field::event(text).is_none() && said_beside_events(text).is_none());
        let spoken = unread.map(|text| (text.to_string(), spoken_of(text).event));
        Self(spoken.filter(|(_, event)| *event != Event::None).collect())
    }

    /// Takes in those of another file or sheet; returns those that are new.
    pub(crate) fn join(&mut self, other: &Self) -> Self {
        let new = other
            .0
            .iter()
            .filter(|(text, _)| !self.0.contains_key(*text));
        let new = Self(new.map(|(text, event)| (text.clone(), *event)).collect());
        self.0.extend(new.0.clone());
        new
    }

    /// True where there are none.
    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// What a question tells of them, behind its other sentences; nothing where there are none.
    pub(crate) fn told(&self) -> String {
        match self.is_empty() {
            true => String::new(),
            false => format!(
                " Words that no list knows are taken for these: {}. Change what is wrong in events; \"none\" is one too.",
                self.listed()
            ),
        }
    }

    /// `"justiert auf 0,1" (adjusted), …`.
    pub(crate) fn listed(&self) -> String {
        let texts = self.0.iter().take(Self::LISTED);
        let texts: Vec<String> = texts
            .map(|(text, event)| format!("\"{text}\" ({})", event.word()))
            .collect();
        let more = self.0.len().saturating_sub(Self::LISTED);
        format!("{}{}", texts.join(", "), and_more(more))
    }

    /// The setting that gives each its meaning, as a line of the pipeline file; empty where there are none.
    pub(crate) fn line(&self) -> String {
        if self.is_empty() {
            return String::new();
        }
        let meanings = self
            .0
            .iter()
            .map(|(text, event)| format!("{} = \"{}\"", quoted(text), event.word()));
        let meanings: Vec<String> = meanings.collect();
        format!("events = {{ {} }}\n", meanings.join(", "))
    }
}
