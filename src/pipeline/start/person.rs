/*! Whom `start` speaks with, and why it may end without a pipeline file. */

use crate::records::guess::doubt::{Answer, Doubt};
use crate::settings::file::PipelineFile;

/// Whom `start` tells what it found, and asks what it cannot tell.
pub trait Person {
    /// Tells.
    fn tell(&mut self, text: &str);
    /// The answer to a doubt, and its words; `None` leaves it open.
    fn ask(&mut self, doubt: &Doubt) -> Option<(Answer, String)>;
}

/// Why there is no pipeline file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct StartError(pub(in crate::pipeline) String);

/// A pipeline file's text, parsed.
pub(super) fn parsed(text: &str) -> Result<PipelineFile, StartError> {
    PipelineFile::parse(text).map_err(|problems| {
        let words = problems.iter().map(|p| p.render("new file", text));
        StartError(words.collect::<Vec<_>>().join("\n"))
    })
}
