/*! The text of a pipeline file that stands, and what it states of the questions of a look. */

use super::places::Places;
use crate::records::guess::doubt::Doubt;
use std::collections::BTreeMap;

/// What a pipeline file states.
pub(super) struct Stated {
    pub text: String,
    /// Where its keys stand.
    pub places: Places,
    /// Its answers and open questions, `checks.doubts`.
    doubts: BTreeMap<String, String>,
}

impl Stated {
    /// That of a text with these answers and questions.
    pub(crate) fn of(text: String, doubts: &BTreeMap<String, String>) -> Self {
        Self {
            places: Places::of(&text),
            text,
            doubts: doubts.clone(),
        }
    }

    /// What it answers to a doubt about a table of the pipeline file, or states in spite of it;
    /// `name` is that of the doubt in the file.
    pub(crate) fn answer(&self, table: &str, name: &str, doubt: &Doubt) -> Option<String> {
        match self.doubts.get(name) {
            Some(text) => (!text.starts_with('?')).then(|| text.clone()),
            None if self.asks(doubt) => None,
            None => self
                .states(table, doubt.setting)
                .then(|| format!("as stated by {}", doubt.setting)),
        }
    }

    /// True where the question of a doubt is open in it, be it that of another form.
    pub(crate) fn asks(&self, doubt: &Doubt) -> bool {
        let mut texts = self.doubts.values();
        texts.any(|text| text.starts_with('?') && text.contains(&doubt.words))
    }

    /// True where a table of it has this key.
    pub(crate) fn states(&self, table: &str, key: &str) -> bool {
        self.places.keys.contains_key(&(table.into(), key.into()))
    }
}
