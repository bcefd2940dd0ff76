/*! Whom `start` speaks with, and why it may end without a pipeline file. */

use crate::records::guess::doubt::{Answer, Doubt};
use crate::settings::file::PipelineFile;

/// Whom `start` tells what it found, and asks what it cannot tell.
pub(crate) trait Person {
    /// Tells.
    fn tell(&mut self, text: &str);
    /// The answer to a doubt, and its words; `None` leaves it open.
    fn ask(&mut self, doubt: &Doubt) -> Option<(Answer, String)>;
}

/// A person who is asked each question once, however many forms of files raise it.
pub(super) struct Once<'a> {
    person: &'a mut dyn Person,
    said: Vec<(Doubt, Option<(Answer, String)>)>,
}

impl<'a> Once<'a> {
    pub(crate) fn new(person: &'a mut dyn Person) -> Self {
        let said = Vec::new();
        Self { person, said }
    }
}

impl Person for Once<'_> {
    fn tell(&mut self, text: &str) {
        self.person.tell(text);
    }

    fn ask(&mut self, doubt: &Doubt) -> Option<(Answer, String)> {
        let mut said = self.said.iter();
        if let Some((other, answer)) = said.find(|(other, _)| other.asks_as(doubt)) {
            if let (Some((_, words)), true) = (answer, other.words != doubt.words) {
                self.person
                    .tell(&format!("{} As answered before: {words}.", doubt.words));
            }
            return answer.clone();
        }
        let answer = self.person.ask(doubt);
        self.said.push((doubt.clone(), answer.clone()));
        answer
    }
}

/// Why there is no pipeline file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub(crate) struct StartError(pub(crate) String);

/// A pipeline file's text, parsed.
pub(super) fn parsed(text: &str) -> Result<PipelineFile, StartError> {
    PipelineFile::parse(text).map_err(|problems| {
        let words = problems.iter().map(|p| p.render("new file", text));
        StartError(words.collect::<Vec<_>>().join("\n"))
    })
}
