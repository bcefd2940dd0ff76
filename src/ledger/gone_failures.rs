/*! Failures that an earlier run read and that its records no longer hold: a failure stands until a named person
has closed it, whatever became of its row. */

use super::before::Before;
use super::gone::Gone;
use super::known_failures::{KnownFailure, joined, keep};
use crate::conformity::DecisionRule;
use crate::decisions::cases::closings::Closings;
use crate::files::run_error::RunError;
use crate::records::{Histories, Warning};
use std::path::Path;

impl Before {
    /// Finds the failures that earlier runs knew and `histories` lack.
    pub(crate) fn find_gone(&mut self, histories: &Histories, rule: &DecisionRule) {
        self.gone = Gone::of(&self.failures, histories, rule);
    }

    /// Remembers the failures that earlier runs knew and `histories` lack. Returns what is to be said of them.
    pub(crate) fn remember_failures(
        &mut self,
        histories: &mut Histories,
        rule: &DecisionRule,
        book: Option<&Closings>,
        as_of: f64,
    ) -> Vec<Warning> {
        self.find_gone(histories, rule);
        let said = self.gone.contradict(histories, book, as_of);
        let said = said.into_iter().map(|(_, warning)| warning);
        said.chain(self.gone.vanished_words(book, as_of)).collect()
    }

    /// Keeps the failures that were `read`, and where a book is kept, in which they can be closed, those that are gone.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(crate) fn keep_failures(
        &self,
        read: Vec<KnownFailure>,
        is_kept: bool,
        kept: &Path,
    ) -> Result<(), RunError> {
        let gone = self.gone.of_histories.values().flatten();
        let gone = gone.chain(&self.gone.vanished).filter(|_| is_kept);
        keep(&joined(read, gone.cloned().collect()), kept)?;
        self.keep_earlier_failures(kept)
    }
}
